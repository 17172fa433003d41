"""How is it set? Filters, delay, equaliser, gain and test signals."""

from basswright.tuning.delay import from_distances, from_measurements
from basswright.tuning.request import TuningRequest, request_for
from basswright.tuning.setting import settings

__all__ = ["TuningRequest", "from_distances", "from_measurements", "request_for", "settings"]
