"""Benchmarks: a speech corpus from free voices, yard noise, and tables."""
