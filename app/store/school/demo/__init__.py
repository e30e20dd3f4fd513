"""The invented school that a stranger looks around in: Saltmarsh Rider School, Port Ellery.

Its history is simulated from a seed made of the day, so the same day gives the
same school. The simulation shares no form with the progress engine: riders have
a strength that grows with practice and halves with time, and each fault is a
hazard of its own.
"""
