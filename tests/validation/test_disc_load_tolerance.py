"""Tolerance on the load of a disc made to the standard.

Source: DIN EN 16983, Disc springs: quality requirements, dimensions; load at free height less
0.75 h0, by thickness, in a spring maker's extract (vinscospring.com, support): read.
"""

from cases import each_holds, printed

from liftgeo.parts import disc_limits

STANDARD = "DIN EN 16983, tolerance on the load (through a spring maker's extract)"

# Thickness [mm], least and greatest load in per cent off.
ROWS = (
    ("1.2", "-7.5", "25"),
    ("1.25", "-7.5", "15"),
    ("3", "-7.5", "15"),
    ("3.1", "-5", "10"),
    ("6", "-5", "10"),
    ("6.1", "-5", "5"),
    ("16", "-5", "5"),
)

CASES = (
    *(printed(STANDARD, f"disc {row[0]} mm thick", word, "%", row[1 + end],
              lambda t=float(row[0]), end=end: 100 * (disc_limits.load_tolerance(t)[end] - 1))
      for row in ROWS
      for end, word in enumerate(("least load", "greatest load"))),
)  # fmt: skip


test_row = each_holds(CASES)
