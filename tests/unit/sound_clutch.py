"""A clutch that raises no warning at all, invented for the tests here, as a geometry file."""

SOUND = """
title = "Sound clutch (invented)"

[lever]
nipple_radius = 26.0
stop_distance = 42.0
rest_length = 44.0
hand_radius = 75.0
hand_travel = 39.0
blade_length = 130.0

[cable]
free_play = 2.0
bend = 90
friction = 0.08
drag = 1.0

[cable.wire]
construction = "7x19"
material = "stainless"
diameter = 2.38
length = 700

[arm]
radius = 38.0
stop_distance = 95.0
rest_length = 90.0
return_torque = 0.3

[release]
kind = "ball-ramp"
pitch_radius = 16.0
ramp_angle = 14.0
friction_angle = 1.0
max_rotation = 25.0
ball_diameter = 8.0
ball_count = 3
groove_radius = 4.3

[rod]
action = "push"
end_float = 0.15
length = 150
diameter = 8.0

[spring]
kind = "coned-disc"
outside_diameter = 120.0
inside_diameter = 92.0
thickness = 1.7
cone_height = 3.4

[stack]
rim_depth = 30.5
friction_plate = 8.0
pressure_plate = 19.5

[faces]
friction_plates = 1
outside_diameter = 118.0
inside_diameter = 84.0
friction = 0.30
material = "moulded"
cushion_travel = 0.15
plate_runout = 0.10
rim_heights = [3.0, 3.02, 3.0, 2.98]
facing_thickness = 3.0
wear_limit = 0.5

[bearing]
kind = "deep-groove"
static_rating = 16000
dynamic_rating = 20000
speed = 3000
duty = 0.1

[engine]
torque = 30
primary_ratio = 2.0
peak_factor = 1.1

[targets]
hand_force = 150
"""
