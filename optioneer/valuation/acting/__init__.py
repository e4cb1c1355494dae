"""When to fit what waits, told by a few thresholds that anybody can see passed."""
