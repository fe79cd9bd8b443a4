"""Simulated people whose truth is known, made otherwise than the models of `analysis` suppose."""
