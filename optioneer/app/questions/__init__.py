"""Parts of the page that asks: the question, its picture, its answer, what was said so far."""
