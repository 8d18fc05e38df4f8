"""Pure arithmetic of time: tempo, timecode, planned instants, calls, forecast. No clock is read here."""
