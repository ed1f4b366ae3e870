"""What an honest observer with these pictures and these finds in hand could write down, feature by feature.

One line a specimen: `feature=state|state` was seen, `feature!` was looked for and is not there, `feature~` is damaged
or gone, `feature?` was not looked at (and could have mattered), `feature:12-15 mm` was measured. Feature and state
names are those of resources/reference.
"""

from __future__ import annotations

import re

SEEN, NOT_THERE, GONE, NOT_LOOKED_AT = "seen", "looked for and not there", "damaged or gone", "not looked at"

WORDS = {
    "S01": """whole.form=agaric whole.growth=scattered whole.egg-stage=present cap.shape=bell|convex
        cap.centre=umbo-broad cap.margin=even cap.surface=smooth|silky cap.patches! cap.colour=white
        cap.bruise! cap.width:78 mm gills.kind=gills gills.attachment=free gills.spacing=close
        gills.colour=white gills.milk! stem.shape=slender|tapering-up stem.surface=flaky stem.colour=white
        stem.core=stuffed stem.length:102 mm stem.position=central ring.kind=hanging ring.position=top
        ring.colour=white ring.cortina! base.shape=round-bulb base.volva=sac base.volva-colour=white
        base.cut-colour! flesh.colour=white flesh.change! print.colour=white smell.kind=honey-sweet
        place.substrate=litter place.trees=beech place.habitat=broadleaved-wood season.month=oct
        micro.spore-shape=nearly-round micro.ornament=smooth micro.spore-length:8.6-10.2 µm
        micro.spore-width:8.0-9.6 µm micro.amyloid? reaction.koh-cap? taste.kind?""",
    "S02": """whole.form=agaric whole.growth=single cap.shape=convex cap.margin=even cap.surface=smooth
        cap.patches! cap.colour=white stem.surface=flaky stem.colour=white ring.kind=hanging
        ring.position=top gills.kind? gills.attachment? gills.colour? base.shape? base.volva? flesh.colour?
        print.colour? smell.kind? place.substrate=litter|moss place.trees=beech
        place.habitat=broadleaved-wood season.month=oct""",
    "S03": """whole.form=agaric whole.growth=scattered cap.shape=convex cap.margin=hung-with-veil
        cap.surface=silky cap.patches! cap.colour=white|cream cap.bruise=yellow-slow cap.width:88 mm
        gills.kind=gills gills.attachment=free gills.spacing=crowded gills.colour=brown|dark-brown
        stem.colour=white|cream stem.length:82 mm ring.kind=hanging ring.position=top ring.colour=white
        base.shape=swollen base.volva! base.cut-colour! flesh.colour=white flesh.change!
        print.colour=chocolate smell.kind=aniseed place.substrate=litter|moss place.trees=beech
        place.habitat=broadleaved-wood season.month=oct""",
    "S04": """whole.form=agaric whole.growth=tuft cap.shape=convex cap.centre=umbo-broad cap.margin=lined
        cap.colour=ochre|red-brown cap.drying=two-toned cap.width:24-39 mm gills.kind=gills
        gills.attachment=adnate gills.spacing=close gills.colour=brown stem.shape=equal|slender
        stem.surface=silvery-fibrous stem.colour=brown|dark-brown stem.length:29-58 mm ring.kind=zone
        ring.position=top base.shape=equal base.volva! print.colour=rust|brown smell.kind=mealy
        place.substrate=stump place.trees=beech place.habitat=broadleaved-wood season.month=oct
        micro.spore-length:8.2-9.9 µm micro.spore-width:5.1-6.1 µm micro.spore-shape=almond
        micro.ornament=warty micro.germ-pore! taste.kind?""",
    "S05": """whole.form=agaric whole.growth=tuft cap.shape=convex cap.centre=umbo-broad cap.margin=even
        cap.colour=ochre|red-brown cap.drying=two-toned cap.width:31-55 mm gills.kind=gills
        gills.attachment=adnate gills.spacing=close gills.colour=brown stem.surface=scaly
        stem.colour=brown|dark-brown stem.length:37-66 mm ring.kind=narrow ring.position=top
        base.shape=equal print.colour=brown smell.kind=mushroomy place.substrate=stump place.trees=beech
        place.habitat=broadleaved-wood season.month=oct micro.spore-length? micro.ornament? micro.germ-pore?""",
    "S06": """whole.form=fold-bearing whole.growth=troop cap.shape=funnel cap.margin=wavy cap.surface=smooth
        cap.colour=yellow|orange cap.width:41-68 mm gills.kind=folds gills.attachment=decurrent
        gills.colour=yellow gills.forking=forked|cross-veined gills.folds-depth=thick-blunt
        stem.colour=yellow stem.core=solid stem.shape=tapering-down ring.kind! flesh.colour=white|cream
        flesh.texture=fibrous smell.kind=apricot print.colour? place.substrate=moss place.trees=birch
        place.habitat=broadleaved-wood season.month=oct""",
    "S07": """whole.form=agaric whole.growth=scattered cap.shape=funnel|depressed cap.margin=inrolled
        cap.surface=felty cap.colour=orange cap.width:44-58 mm gills.kind=gills gills.attachment=decurrent
        gills.spacing=crowded gills.colour=orange gills.forking=forked stem.colour=orange ring.kind!
        flesh.colour=yellow|orange flesh.texture=soft smell.kind! print.colour? place.substrate=litter|moss
        place.trees=birch|pine place.habitat=mixed-wood season.month=oct""",
    "S08": """whole.form=agaric whole.growth=tuft cap.shape=depressed|funnel cap.margin=wavy cap.colour=orange
        cap.width:52-84 mm gills.kind=gills gills.attachment=decurrent gills.spacing=close
        gills.colour=orange gills.forking! stem.shape=tapering-down stem.colour=orange stem.length:43-69 mm
        ring.kind! flesh.colour=yellow|orange print.colour? smell.kind? place.substrate=stump
        place.trees=oak place.habitat=broadleaved-wood season.month=oct""",
    "S09": """whole.form=bolete whole.growth=single cap.shape=hemispherical|cushion cap.surface=wrinkled
        cap.colour=brown cap.width:100 mm gills.kind=pores gills.pore-colour=yellow|greenish-yellow
        gills.pore-bruise! gills.pore-shape=round stem.shape=barrel stem.surface=net stem.net=pale-net
        stem.colour=buff stem.length:72 mm ring.kind! flesh.colour=white flesh.change! flesh.texture=firm
        smell.kind=mushroomy print.colour? place.substrate=litter place.trees=oak
        place.habitat=broadleaved-wood season.month=oct""",
    "S10": """whole.form=bracket whole.growth=shelves whole.texture=woody whole.width:92-170 mm cap.zones=zoned
        cap.colour=red-brown|orange gills.kind=pores gills.pore-colour=cream gills.pore-shape=round
        place.substrate=living-tree place.trees=oak place.habitat=broadleaved-wood season.month=oct
        flesh.colour? print.colour?""",
    "S11": """whole.form=egg whole.growth=single whole.egg-stage=present whole.width:38 mm
        flesh.inside=mushroom-outline flesh.colour=white flesh.rind=thin gills.kind=gills gills.colour=white
        base.volva=sac cap.colour? print.colour? smell.kind? place.substrate=litter place.trees=beech
        place.habitat=broadleaved-wood season.month=oct""",
    "S12": """whole.form=agaric whole.growth=single whole.texture=brittle cap.shape=flat|depressed cap.margin~
        cap.colour=red|pink cap.surface~ cap.peel? cap.width:78 mm gills.kind=gills gills.attachment=adnexed
        gills.spacing=close gills.colour=cream gills.milk! gills.edge~ stem.colour=white stem.fibre=brittle
        ring.kind! base.volva! flesh.colour=white smell.kind=fruity taste.kind? print.colour?
        place.substrate=litter|moss place.trees=beech place.habitat=broadleaved-wood season.month=oct""",
    "S13": """whole.form=agaric whole.growth=scattered cap.shape=convex|hemispherical cap.margin=lined
        cap.moisture=sticky cap.patches=pyramid-warts|flakes cap.patches-colour=cream|white
        cap.colour=red|orange cap.width:100 mm gills.kind=gills gills.attachment=free gills.spacing=close
        gills.colour=white stem.colour=white stem.length:96 mm ring.kind=hanging ring.position=top
        ring.colour=white|cream base.shape=round-bulb base.volva=rings-of-warts flesh.colour? print.colour?
        smell.kind! place.substrate=soil|grass place.trees=birch place.habitat=broadleaved-wood|wood-edge
        season.month=oct""",
    "S14": """whole.form=agaric whole.growth=troop cap.shape=convex|depressed cap.centre=dip cap.margin=lined|wavy
        cap.surface=felty cap.colour=violet|lilac cap.width:19-34 mm gills.kind=gills
        gills.attachment=adnate gills.spacing=distant gills.colour=violet stem.shape=equal|slender
        stem.surface=silvery-fibrous stem.colour=violet|lilac stem.fibre=tough ring.kind! ring.cortina!
        base.volva! flesh.colour? print.colour? smell.kind? place.substrate=litter|moss place.trees=birch
        place.habitat=broadleaved-wood season.month=oct""",
}


def rows() -> list[tuple[str, str, str, str, str, str]]:
    """(specimen, feature, standing, states joined by |, value or span, unit)."""
    out = []
    for specimen, words in WORDS.items():
        for word, unit in re.findall(r"(\S+)(?: (mm|µm))?", words):
            mark = re.match(r"([a-z.\-]+)([=!~?:])(.*)", word)
            if mark is None:
                raise ValueError(f"{specimen}: {word} is no feature with a standing")
            feature, sign, rest = mark.groups()
            standing = {"=": SEEN, ":": SEEN, "!": NOT_THERE, "~": GONE, "?": NOT_LOOKED_AT}[sign]
            out.append(
                (specimen, feature, standing, rest if sign == "=" else "", rest if sign == ":" else "", unit)
            )
    return out
