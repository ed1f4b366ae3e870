"""A fruit body drawn as vector shapes from recorded features.

Front doors: `fruit_body.fruit_body` (evidence), `fruit_body.usual_fruit_body` (a taxon of the reference),
`fruit_body.draw_features` (a neutral mapping) and `figures.figure` (small figures for the vocabulary).
"""
