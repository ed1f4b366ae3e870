"""When a poisoning begins: stages named by what they strike, the widest window over all sources.

Checked from outside: the windows of orellanine, norleucine and amatoxins as the DGfM list of 2014, the Belgian
Poison Centre, a clinical handbook and Danel et al. 2001 print them; every window of
hazards.csv lies inside what is told.
"""

import pytest

from catalog_gui.domain.feature import Vocabulary
from catalog_gui.lookalikes.onset import onset_of_syndrome, onset_words, onsets_of, span_words
from catalog_gui.lookalikes.reference import Hazard, Reference, Severity, Stage, Syndrome, Taxon

MINUTES = {"min": 1.0, "h": 60.0, "d": 1440.0}


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (360, 1440, "6 to 24 h"),
        (15, 300, "15 min to 5 h"),
        (1440, 4320, "1 to 3 days"),
        (1440, 2160, "24 to 36 h"),
        (240, 2880, "4 to 48 h"),
        (2160, 28800, "36 h to 20 days"),
        (0, 120, "up to 2 h"),
        (None, 120, "up to 2 h"),
        (720, 720, "about 12 h"),
        (20, 240, "20 min to 4 h"),
    ],
)
def test_spans_as_people_say_them(low: float | None, high: float, words: str) -> None:
    assert span_words(low, high) == words


def test_orellanine_names_the_kidneys_and_not_only_the_gut(ours: Reference) -> None:
    words = onset_words(ours, "cortinarius-orellanus")
    assert words.startswith("gut after 4 h to 3 days or later, or none; ")
    assert "kidneys after 3 to 20 days" in words


def test_amatoxins_name_the_quiet_spell_before_the_liver(ours: Reference) -> None:
    words = onset_words(ours, "amanita-phalloides")
    assert words == "gut after 4 to 48 h, then a quiet spell; liver after 1 to 3 days"


@pytest.mark.parametrize("taxon", ["amanita-proxima", "amanita-boudieri"])
def test_norleucine_names_gut_and_kidneys(ours: Reference, taxon: str) -> None:
    assert onset_words(ours, taxon) == "gut after 30 min to 14 h; kidneys after 1 to 3 days"


def test_muscle_damage_and_burning_pain_say_what_the_number_counts(ours: Reference) -> None:
    assert onset_words(ours, "tricholoma-equestre").startswith(
        "after several meals: muscle pain and weakness after 1 to 3 days"
    )
    assert onset_words(ours, "paralepistopsis-amoenolens") == "burning hands and feet after 6 h to 7 days"


def test_every_dangerous_taxon_says_something_and_every_number_has_its_organ(ours: Reference) -> None:
    for taxon in ours.dangerous:
        onsets = onsets_of(ours, taxon)
        assert onset_words(ours, taxon), taxon
        for onset in onsets:
            assert onset.stages, taxon
            for stage in onset.stages:
                assert stage.what, taxon
                assert stage.words.startswith(stage.what), taxon


def test_no_window_of_a_source_lies_outside_what_is_told(ours: Reference) -> None:
    for taxon in ours.dangerous:
        for onset in onsets_of(ours, taxon):
            told = [s for s in onset.stages if s.high is not None]
            for row in ours.hazards_of(taxon):
                if row.syndrome != onset.syndrome or row.onset_low is None or row.onset_high is None:
                    continue
                low, high = (n * MINUTES[row.onset_unit] for n in (row.onset_low, row.onset_high))
                assert any((s.low or 0.0) <= low and high <= (s.high or 0.0) for s in told), (taxon, row)


def test_what_comes_from_memory_alone_says_so(ours: Reference) -> None:
    assert "(from memory)" in onset_words(ours, "rubroboletus-satanas")
    assert "(from memory)" not in onset_words(ours, "amanita-virosa")


def test_two_syndromes_of_one_taxon_are_told_apart(ours: Reference) -> None:
    words = onset_words(ours, "paxillus-involutus")
    assert words.index("immune") < words.index("Gut irritants")
    assert "blood" in words


def test_nothing_is_said_of_a_taxon_without_a_hazard(ours: Reference) -> None:
    harmless = next(taxon.id for taxon in ours.taxa if ours.severity_of(taxon.id) is None)
    assert onset_words(ours, harmless) == ""


def _made(*hazards: Hazard, stages: tuple[Stage, ...] = ()) -> Reference:
    return Reference(
        Vocabulary(),
        taxa=(Taxon("alba", "Testia alba"),),
        hazards=hazards,
        syndromes=(Syndrome("1A", "liver damage", poison="Testtoxin"),),
        stages=stages,
    )


def test_a_window_of_a_taxon_widens_the_stage_it_counts() -> None:
    stage = Stage("1A", 1, "gut", 6, 12, "h", ("first gut trouble",), source="one")
    row = Hazard("alba", "1A", Severity.FATAL, onset_low=2, onset_high=24, onset_unit="h")
    wide = Hazard("alba", "1A", Severity.FATAL, "", 2, 24, "h", "first gut trouble", source="two")
    assert onset_words(_made(wide, stages=(stage,)), "alba") == "gut after 2 to 24 h"
    own = onset_words(_made(row, stages=(stage,)), "alba")
    assert own == "gut after 6 to 12 h; first trouble after 2 to 24 h"


def test_a_pack_without_stages_tells_the_windows_of_its_hazards() -> None:
    gut = Hazard("alba", "1A", Severity.FATAL, "", 6, 24, "h", "first gut trouble", source="one")
    later = Hazard("alba", "1A", Severity.FATAL, "", 3, 20, "d", "kidney trouble", source="one")
    words = onset_words(_made(later, gut), "alba")
    assert words == "first gut trouble after 6 to 24 h; kidney trouble after 3 to 20 days"


def test_a_hazard_without_any_window_says_that_none_is_known() -> None:
    assert onset_words(_made(Hazard("alba", "1A", Severity.FATAL)), "alba") == "onset not known"


def test_a_syndrome_is_wide_enough_for_each_of_its_taxa(ours: Reference) -> None:
    alone = onset_of_syndrome(ours, "5")
    with_yellow_stainer = onset_of_syndrome(ours, "5", ["agaricus-xanthodermus"])
    assert alone.words == "gut up to 12 h"
    assert with_yellow_stainer.words == "gut up to 12 h"
