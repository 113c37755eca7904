"""An assessment as a person takes it in: what must stop, what to mend, what to ask, what to watch."""
