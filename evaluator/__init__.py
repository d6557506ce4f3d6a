"""Was this run-through what the chart says? See `grade`."""
