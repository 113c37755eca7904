"""Farpress: radio remote control at customers' premises, from thumb to moving leaf."""

__all__ = ["__version__"]

__version__ = "0.1.0"
