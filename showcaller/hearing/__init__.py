"""The caller's voice: lines of the plan found in the sound of the headset track, on this machine alone."""

SURE, ASKED = 0.5, 0.1
"""A finding at least so sure is believed; one at least so sure is asked about; anything below is left alone.
Chosen on espeak-ng's voices with noise, music and other people (``benchmarks/bench_said.py``)."""
