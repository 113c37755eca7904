"""Changes to a job, and the survey that starts one."""
