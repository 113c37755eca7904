"""Loops of `reach` written for LLVM from their annotations: kinds, values, rows, statements."""
