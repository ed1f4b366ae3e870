"""Works out what the canvas shows: marks as shapes and words, what a tool draws next, the vector file."""
