"""What a hand may do to a lever: the force it is tested with, and where on the blade it pulls.

Source: ISO 4210-4, strength test of the brake lever, 450 N (read); 50 mm from the tip: UN
Regulation 78 (from memory).
"""

PANIC_FORCE_N = 450.0
FROM_TIP_MM = 50.0
