"""Works out what the Describe page shows: the specimen, its list, the words for its parts."""
