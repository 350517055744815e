"""Findings, and the verdicts that are made from them."""
