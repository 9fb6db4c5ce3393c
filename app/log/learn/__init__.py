"""Learning from what was kept: what differed in these drops, how sure, and what to try next."""
