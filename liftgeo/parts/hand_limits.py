"""What a hand may do to a lever: the force it is tested with, and where on the blade it pulls.

Source: ISO 4210-4, strength test of the brake lever, 450 N (read); 50 mm from the tip: UN
Regulation 78 (from memory). A foot: common practice, no source; brake pedals are held to 500 N
(UN Regulation 13-H, from memory), and a foot in a hurry does twice that.
"""

PANIC_FORCE_N = 450.0
PEDAL_PANIC_FORCE_N = 1000.0
FROM_TIP_MM = 50.0
