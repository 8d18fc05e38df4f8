"""The book for others: spreadsheets, papers, calendars, MIDI files, timelines."""
