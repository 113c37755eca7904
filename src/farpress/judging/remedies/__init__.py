"""What would mend a finding: each change is made on a copy and judged before anybody is shown it."""
