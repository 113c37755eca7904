"""Changes of what is built: another aerial, a second receiver, a thicker cable, set and unset apart."""
