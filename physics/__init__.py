"""The sea, the boat and the line: a 3-D transient towed line and nothing else.

SI throughout: metres, kilograms, seconds, newtons, radians. Axes are x east,
y north, z up, with z = 0 at the still surface, so depth is -z. Headings and
bearings are radians clockwise from north, as a compass reads. Nothing here
knows a screen, a file or a trade unit.
"""
