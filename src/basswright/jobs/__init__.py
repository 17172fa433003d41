"""What the customer's job is: job files, estimates for what was not read, the store."""

from basswright.jobs.estimated import Estimate, estimated
from basswright.jobs.reading import parse_job, read_job
from basswright.jobs.samples import sample_names, sample_text
from basswright.jobs.writing import write_job

__all__ = [
    "Estimate",
    "estimated",
    "parse_job",
    "read_job",
    "sample_names",
    "sample_text",
    "write_job",
]
