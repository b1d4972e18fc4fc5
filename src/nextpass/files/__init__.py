"""Car and pass files: read strictly, written whole."""
