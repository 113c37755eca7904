"""Rehearsal: how outputs, devices and panel behave in time."""
