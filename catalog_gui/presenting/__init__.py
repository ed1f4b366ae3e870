"""Works out what a page says and shows, without Qt: state, reading, words, lines of tables, the canvas."""
