"""One circuit for each premises: every terminal a node, every core a resistor; its states and solutions."""
