"""One piece of the search for what to put out, as a worker does it."""

from __future__ import annotations

from typing import Any

from app.planning.put_out import Job
from physics.progress import ProgressCallback


def run_job(job: Job, tell: ProgressCallback) -> Any:
    """What the job gives; ``tell`` hears the share done. Raises what the job raises."""
    return job.function(*job.args, progress=tell)
