"""Outlines that others drew, made into a plan: files read, lines healed and traced to outlines, the plan's text.

Flow: ``reading`` (a file of one of four formats) → ``choosing`` (layers, unit) → ``tracing`` on ``mending`` (closed
outlines and single lines, near-misses healed) → ``crossing`` (cross walls' ends) → ``making`` (the plan).
"""
