"""What to do about a machine: options, their comparison, budget, regroove order.

Pure: plain Python, NumPy and the engineering kernel. Nothing reads a row or a clock.
"""
