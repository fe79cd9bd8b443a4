"""Texts and numbers in the language of the person whose turn it is. English is what stands in the code."""
