"""The job file: read, check, write back, migrate."""
