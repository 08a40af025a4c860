"""The job: what is asked for, as frozen data, and how it is read from a file."""
