"""How near lines are, worked out by the compiled library where it could be built."""
