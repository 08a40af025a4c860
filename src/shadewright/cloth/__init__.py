"""Cloth as geometry: what a plan is, where panels lie, and the judge that cuts a plan again."""
