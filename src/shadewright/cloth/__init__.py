"""Cloth as geometry: what a plan is, where panels lie."""
