"""A mechanism as points and plain shapes in a plane, at any position: data, no picture.

`links.outline` gives lever and arm as points; `views.views` everything that a drawing shows, from
the keys and the place where the mechanism stands; `gaps` how near they come to one another.
"""
