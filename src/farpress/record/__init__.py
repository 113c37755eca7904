"""What happened: append-only events, and the register drawn from them."""
