"""The desk: the whole job in a browser, on site and in the office."""
