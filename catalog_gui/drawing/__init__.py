"""A fruit body drawn as vector shapes from recorded features."""
