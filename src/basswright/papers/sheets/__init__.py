"""The papers of a job, one module each: facts in, blocks out."""
