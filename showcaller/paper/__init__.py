"""Writing on paper, whatever the script: typefaces that are in the file, letters joined and in order."""
