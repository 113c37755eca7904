"""Drawings as SVG text: the terminals of a receiver, the block diagram of a premises. Black and white, no
files read.
"""
