"""The earth: distances, datums, grid references, typed coordinates and deliberate imprecision.

Positions are degrees on WGS 84, lengths metres, bearings degrees clockwise from true north. Pure
functions and values; pyproj is imported when the first projection or geodesic is asked for.
"""
