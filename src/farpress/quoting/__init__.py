"""Quotations: what a job needs, how long it takes, and what that costs by the firm's own lists."""
