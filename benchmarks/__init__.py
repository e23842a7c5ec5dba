"""What ``make bench`` runs: ``python -m benchmarks``. Ratios in one run, never a timed test."""
