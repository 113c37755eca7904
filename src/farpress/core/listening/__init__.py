"""Levels over time and over frequency: noise floors, bursts, carriers. Plain numbers in, plain numbers
out.
"""
