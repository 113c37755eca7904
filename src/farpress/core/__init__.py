"""Pure calculation: numbers in, numbers out; the kinds do not know each other."""
