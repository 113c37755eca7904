"""What both web faces share, the desk and the firm's service: pace, sizes of bodies, and how to serve."""
