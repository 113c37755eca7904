"""What exists on a job, and what is said about it: plain values, no calculation.

`job` and `premises` are the job file's own tables; `parts` the data sheets; `finding`
what is said about them. One definition of each field feeds file, schema, forms and papers.
"""
