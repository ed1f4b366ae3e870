"""The builds of the fruit bodies that the demo foray shows: invented individuals, true to the books in their parts."""

from __future__ import annotations

from demo_data.renderer.bodies import Body, Cap, Hymenium, Ring, Stem, Volva, Warts

EVEN = ((2, 0.015, 0.02, 0.4), (3, 0.012, 0.03, 2.0))
WAVY = ((2, 0.05, 0.10, 0.4), (3, 0.05, 0.16, 2.0), (5, 0.04, 0.14, 4.0), (8, 0.02, 0.06, 1.0))

AMANITA = Body(
    cap=Cap(radius=3.9, height=2.7, angle=84, flesh=0.8, umbo=0.15, tilt=7, centre="efe8d2", margin="f3efe2", gloss=0.22, fibrils=0.05),
    hymenium=Hymenium(count=64, depth=0.65, attached="free", thick=0.016, colour="f3efe3"),
    stem=Stem(((-1.5, 1.05), (-0.7, 1.12), (0.5, 0.78), (3.0, 0.62), (7, 0.52), (10.2, 0.46)), "e6dfcc", "efeada", ("shaggy",),
              surface_below=7.6, surface_colour="fbf9f2", bend=(0.7, 0.25)),
    ring=Ring(8.2, 0.75, 1.35, "efeadb"),
    volva=Volva(1.32, -2.25, 1.15, 0.55, "e9e2cf"),
    seed=11,
)
AMANITA_BUTTON = Body(
    cap=Cap(radius=1.9, height=2.4, angle=105, flesh=0.7, tilt=3, centre="efe9d6", margin="f3efe2", gloss=0.22, fibrils=0.04),
    hymenium=Hymenium(count=50, depth=0.3, attached="free", thick=0.014, colour="f3efe3"),
    stem=Stem(((-1.3, 1.0), (-0.5, 1.0), (0.8, 0.75), (4.6, 0.6)), "e9e2d0", "f1ecdf", ("shaggy",), surface_below=4, surface_colour="fbf9f2", bend=(0.1, 0.1)),
    volva=Volva(1.25, -2.0, 1.3, 0.45, "ece5d3"),
    seed=17,
)
AGARICUS = Body(
    cap=Cap(radius=4.4, height=2.3, angle=78, flesh=1.0, tilt=6, centre="ead9ae", margin="f0e8d2", gloss=0.1, fibrils=0.16, mottle=0.16, veil_rags="f7f3e6"),
    hymenium=Hymenium(count=80, depth=0.6, attached="free", thick=0.014, colour="7d5348", edge="b39a8c"),
    stem=Stem(((-0.6, 0.75), (0.2, 0.85), (2.5, 0.66), (6, 0.6), (8.2, 0.62)), "e6dcc4", "efe8da", ("fibrils",), bend=(-0.5, 0.2)),
    ring=Ring(6.7, 0.95, 1.1, "f0ead9", thick=0.07),
    seed=23,
)
GALERINA = Body(
    cap=Cap(radius=1.75, height=0.95, angle=72, flesh=0.3, rim=0.04, umbo=0.12, tilt=10, centre="c08a4e", margin="96571f",
            outer="7f4517", outer_from=0.72, striate=1.0, gloss=0.3, fibrils=0.06, lobes=EVEN),
    hymenium=Hymenium(count=40, depth=0.3, attached="adnate", thick=0.013, tiers=(0.5,), colour="a8713a"),
    stem=Stem(((-0.3, 0.24), (0.5, 0.22), (3, 0.18), (5.2, 0.17)), "3d2615", "b98f5c", ("silky",), surface_below=3.7,
              surface_colour="d8cbb4", bend=(0.7, 0.4), soil=0.0, dark_base="2c1a0f", dark_below=2.6, flesh_colour="8a5d36", hollow=0.07),
    ring=Ring(3.9, 0.16, 0.16, "a8865c", thick=0.03),
    seed=31,
)
KUEHNEROMYCES = Body(
    cap=Cap(radius=2.5, height=1.25, angle=72, flesh=0.4, rim=0.05, umbo=0.22, tilt=10, centre="d9a961", margin="d2a05a",
            outer="8d4d1c", outer_from=0.55, gloss=0.3, fibrils=0.05, mottle=0.16, lobes=EVEN),
    hymenium=Hymenium(count=46, depth=0.36, attached="adnate", thick=0.014, tiers=(0.5,), colour="b98a56"),
    stem=Stem(((-0.3, 0.36), (0.5, 0.36), (3, 0.31), (6, 0.29)), "5b3418", "d9b483", ("scales", "coarse"), surface_below=4.5,
              surface_colour="6b3b1a", bend=(0.8, 0.4), soil=0.0, dark_base="4a2811", dark_below=2.2, flesh_colour="c79b66"),
    ring=Ring(4.6, 0.3, 0.28, "7d4a22", rising=True, thick=0.05),
    seed=37,
)
CHANTERELLE = Body(
    cap=Cap(radius=3.4, centre="e39a24", margin="eda92f", flesh_colour="f3e0b0", gloss=0.05, glow=0.35, mottle=0.12, fibrils=0.08,
            lobes=((2, 0.07, 0.14, 0.4), (3, 0.08, 0.22, 2.0), (5, 0.06, 0.2, 4.0), (9, 0.02, 0.05, 1.0))),
    hymenium=Hymenium("folds", count=26, depth=0.11, colour="e8a436"),
    stem=Stem(((-0.4, 0.6), (0, 0.6)), base="e6b04c", bend=(0.5, 0.2), soil=0.8, surface_below=2.0),
    vase=((0.0, 5.35), (0.8, 5.4), (1.8, 5.75), (2.8, 6.05), (3.3, 5.95), (3.42, 5.75), (3.25, 5.55), (2.4, 5.05), (1.6, 4.3), (1.05, 3.2),
          (0.82, 2.0), (0.68, 0.6), (0.5, -0.4), (0.25, -0.75), (0.0, -0.85)),
    seed=41,
)
FALSE_CHANTERELLE = Body(
    cap=Cap(radius=2.9, centre="c9691c", margin="e59a3c", flesh_colour="f0bd6c", gloss=0.02, glow=0.3, mottle=0.10, fibrils=0.06,
            lobes=((2, 0.04, 0.06, 0.4), (3, 0.03, 0.1, 2.0), (5, 0.02, 0.05, 4.0))),
    hymenium=Hymenium("gills", count=60, depth=0.30, thick=0.014, tiers=(0.42, 0.68), colour="e9731a", wander=0.16),
    stem=Stem(((-0.4, 0.4), (0, 0.4)), base="b86a22", bend=(0.8, 0.1), soil=0.6, surface_below=3.5),
    vase=((0.0, 4.8), (0.9, 4.95), (1.9, 5.25), (2.6, 5.25), (2.92, 5.0), (2.85, 4.85), (2.3, 4.9), (1.5, 4.55), (0.85, 4.1), (0.52, 3.4),
          (0.44, 2.0), (0.42, 0.5), (0.4, -0.4), (0.2, -0.65), (0.0, -0.7)),
    seed=43,
)
OMPHALOTUS = Body(
    cap=Cap(radius=4.2, centre="b04e14", margin="d97a24", flesh_colour="e9a24c", gloss=0.14, glow=0.3, mottle=0.16, fibrils=0.18,
            lobes=((2, 0.05, 0.12, 0.4), (3, 0.05, 0.18, 2.0), (5, 0.03, 0.12, 4.0))),
    hymenium=Hymenium("gills", count=64, depth=0.45, thick=0.018, tiers=(0.45, 0.7), colour="ea8d22", wander=0.06),
    stem=Stem(((-0.4, 0.8), (0, 0.8)), base="a85a1c", bend=(1.6, 0.2), soil=0.3, surface_below=4.4),
    vase=((0.0, 6.9), (1.2, 7.05), (2.6, 7.5), (3.7, 7.55), (4.2, 7.2), (4.15, 7.0), (3.4, 7.05), (2.2, 6.5), (1.35, 5.7), (0.95, 4.6),
          (0.8, 3.0), (0.62, 1.0), (0.45, -0.6), (0.2, -0.9), (0.0, -0.95)),
    seed=47,
)
BOLETE = Body(
    cap=Cap(radius=5.0, height=3.4, angle=96, flesh=1.9, rim=0.12, tilt=5, centre="7c4d27", margin="9c6a38", outer="b98d55", outer_from=0.93,
            gloss=0.12, glow=0.05, fibrils=0.04, mottle=0.22, pits=0.25, flesh_colour="f3ecd6", skin_line="6b4022", lobes=EVEN),
    hymenium=Hymenium("pores", depth=0.9, attached="notched", colour="c9b455", pore=0.075, bruise="6f6a34"),
    stem=Stem(((-0.9, 1.7), (0.4, 2.1), (2.5, 2.0), (5, 1.5), (7.2, 1.25)), "c9ad82", "d8c39c", ("net",), surface_colour="f1e6cb",
              bend=(0.3, 0.1), soil=0.6, flesh_colour="f3ecd8"),
    seed=53,
)
RUSSULA = Body(
    cap=Cap(radius=3.9, height=1.2, angle=62, flesh=0.8, rim=0.10, dip=0.45, tilt=9, centre="9c1f26", margin="c5313a", gloss=0.3, glow=0.2,
            mottle=0.22, fibrils=0.03, striate=0.6, crumbs="d9707a", flesh_colour="f1e7d6", skin_line="c5313a",
            bites=((3.5, 0.75, 1.3, 1.15), (2.2, 0.95, -2.9, 0.85), (1.1, 1.75, 1.7, 0.5), (-2.2, 1.45, 1.4, 0.42), (-3.9, 0.4, -0.8, 0.6))),
    hymenium=Hymenium(count=64, depth=0.55, attached="notched", thick=0.022, tiers=(), colour="efe3c4"),
    stem=Stem(((-0.5, 0.8), (0.5, 0.85), (2.5, 0.78), (5.0, 0.85)), "e9dfca", "f0e9db", ("fibrils",), bend=(0.2, -0.1)),
    seed=59,
)
FLY_AGARIC = Body(
    cap=Cap(radius=5.0, height=2.7, angle=80, flesh=0.9, tilt=7, centre="b3160f", margin="d4300f", outer="e0521c", outer_from=0.9, gloss=0.4,
            glow=0.22, mottle=0.10, fibrils=0.03, striate=0.5, warts=Warts(5, 0.14, 0.72, "f2e8cf", 0.5), lobes=EVEN),
    hymenium=Hymenium(count=76, depth=0.65, attached="free", thick=0.018, colour="f4efe1"),
    stem=Stem(((-1.0, 1.0), (-0.3, 1.25), (0.6, 1.15), (1.6, 0.8), (6, 0.66), (9.6, 0.6)), "e9dfc2", "f2ecdc", ("scales", "coarse"), surface_below=1.9,
              surface_colour="f7efd8", bend=(-0.4, 0.2), soil=0.5),
    ring=Ring(7.7, 1.05, 1.3, "f3ebd3", thick=0.07),
    seed=61,
)
FLY_BUTTON = Body(
    cap=Cap(radius=2.2, height=2.5, angle=108, flesh=0.8, tilt=2, centre="ab140e", margin="c8240f", gloss=0.4, glow=0.2, mottle=0.1, fibrils=0.02,
            warts=Warts(7, 0.2, 1.0, "f3ead4", 0.55), lobes=EVEN),
    hymenium=Hymenium(count=50, depth=0.3, attached="free", thick=0.016, colour="f4efe1"),
    stem=Stem(((-0.8, 1.3), (0.2, 1.55), (1.3, 1.2), (3.4, 0.9)), "eee4c9", "f2ecdc", ("scales", "coarse"), surface_below=2.2, surface_colour="f7efd8", bend=(0.1, 0)),
    seed=67,
)
LACCARIA = Body(
    cap=Cap(radius=1.7, height=0.7, angle=66, flesh=0.22, rim=0.05, dip=0.22, tilt=8, centre="6d4a86", margin="8a63a8", gloss=0.05, glow=0.35,
            fibrils=0.22, mottle=0.16, striate=0.6, flesh_colour="a489b8", lobes=WAVY),
    hymenium=Hymenium(count=17, depth=0.42, attached="adnate", thick=0.028, tiers=(0.45, 0.7), colour="7d4fa6", wander=0.1),
    stem=Stem(((-0.4, 0.26), (0, 0.24), (3, 0.22), (6.3, 0.24)), "8b76a0", "7a559c", ("silky",), surface_below=6.5, surface_colour="c5b7d6",
              bend=(0.9, 0.3), soil=0.3, flesh_colour="a489b8"),
    seed=71,
)
