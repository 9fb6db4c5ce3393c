"""What every page says."""

CAUTION = (
    "Rehearsal aid, not for navigation. Keep lines clear of propellers; "
    "local rules and a licensed skipper decide."
)
