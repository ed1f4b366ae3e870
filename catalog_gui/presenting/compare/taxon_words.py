"""Everything the reference says about a taxon, with its sources, as a page of rich text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from html import escape

from catalog_gui.domain.caution import CAUTION_NO_BANNER, CAUTION_TASTING, NO_ENTRY
from catalog_gui.domain.feature import Fragility, Part
from catalog_gui.lookalikes.onset import onsets_of
from catalog_gui.lookalikes.reasons import marked, size_words, state_words, texts_words
from catalog_gui.lookalikes.reference import (
    Confusion,
    Hazard,
    Reference,
    Severity,
    SizeRange,
    StateFrequency,
    Taxon,
)
from catalog_gui.lookalikes.severity_words import harm_words
from catalog_gui.lookalikes.well_read import reading_of
from catalog_gui.lookalikes.why_line import listed, plain_name
from catalog_gui.presenting.part_titles import FULL_TITLES
from catalog_gui.presenting.signal_words import SIGNAL_WORDS

LINK = "taxon:"


@dataclass(frozen=True)
class Dress:
    """Colours ('#rrggbb') and the family of the headings; `signals`: ground and text of each signal word."""

    ink: str
    faded: str
    heading: str
    link: str
    serif: str
    signals: Mapping[Severity, tuple[str, str]]


class _Cited:
    """Numbers sources in the order in which they are first named."""

    def __init__(self, reference: Reference) -> None:
        self._reference = reference
        self.ids: list[str] = []

    def mark(self, ids: Iterable[str]) -> str:
        """'[1, 3]' for these sources; '' for none."""
        numbers = []
        for key in dict.fromkeys(one for one in ids if one):
            if key not in self.ids:
                self.ids.append(key)
            numbers.append(str(self.ids.index(key) + 1))
        return f" <span class='cite'>[{', '.join(numbers)}]</span>" if numbers else ""

    def listing(self) -> str:
        """All sources that were named, numbered."""
        lines = []
        for number, key in enumerate(self.ids, 1):
            source = self._reference.source(key)
            words = escape(source.printed if source is not None else key)
            if source is not None and source.pack and source.pack != _shipped(self._reference):
                words += " (yours)"
            lines.append(f"<p>[{number}] {words}.</p>".replace("..<", ".<"))
        return "".join(lines)


def _shipped(reference: Reference) -> str:
    return reference.packs[0] if reference.packs else ""


def taxon_page(reference: Reference, taxon: Taxon, dress: Dress) -> str:
    """The page as HTML of the kind that Qt shows. Links to other taxa begin with `LINK`."""
    cited = _Cited(reference)
    body = [
        _head(reference, taxon, cited),
        _hazards(reference, taxon, cited, dress),
        _confusions(reference, taxon, cited),
        _features(reference, taxon, cited),
        _overrides(reference, taxon),
    ]
    sources = cited.listing()
    body.append(f"<h3>Sources</h3>{sources}" if sources else "")
    return f"<html><head><style>{_style(dress)}</style></head><body>{''.join(body)}</body></html>"


def _style(dress: Dress) -> str:
    return (
        f"body {{ color: {dress.ink}; }} h2 {{ font-family: '{dress.serif}'; color: {dress.ink}; margin: 0; }}"
        f"h3 {{ font-family: '{dress.serif}'; color: {dress.heading}; margin: 12px 0 3px 0; }}"
        f"p {{ margin: 2px 0; }} .faded {{ color: {dress.faded}; }} .cite {{ color: {dress.faded}; }}"
        f"td {{ padding: 1px 12px 1px 0; }} .part {{ color: {dress.heading}; font-weight: 600; }}"
        f"a {{ color: {dress.link}; }} .own {{ color: {dress.link}; font-weight: 600; font-size: 13px; }}"
    )


def _head(reference: Reference, taxon: Taxon, cited: _Cited) -> str:
    mine = " <span class='own'>yours</span>" if marked(reference, taxon.pack) else ""
    lines = [f"<h2><i>{escape(taxon.name)}</i>{mine}</h2>"]
    facts = [taxon.authority, taxon.english, taxon.rank if taxon.rank != "species" else ""]
    lines.append(f"<p>{escape(', '.join(fact for fact in facts if fact))}{cited.mark([taxon.source])}</p>")
    place = [
        f"genus {taxon.genus}" if taxon.genus else "",
        f"section {taxon.section}" if taxon.section else "",
    ]
    place.append(f"stands among {taxon.group}" if taxon.group else "")
    words = ", ".join(one for one in place if one)
    lines.append(f"<p class='faded'>{escape(words[:1].upper() + words[1:])}.</p>" if words else "")
    if taxon.pack and taxon.pack != _shipped(reference):
        lines.append("<p class='faded'>From your own pack.</p>")
    if taxon.note:
        lines.append(f"<p>{escape(taxon.note)}</p>")
    lines.append(f"<p class='faded'>{escape(reading_of(reference, taxon.id).words)}</p>")
    names = []
    for synonym in reference.synonyms_of(taxon.id):
        note = f", {escape(synonym.note)}" if synonym.note else ""
        names.append(
            f"<p><i>{escape(synonym.name)}</i> {escape(synonym.authority)}{note}"
            f"{marked(reference, synonym.pack)}"
            f"{cited.mark([synonym.source])}</p>"
        )
    if names:
        lines.append("<h3>Other names</h3>" + "".join(names))
    return "".join(lines)


def _hazards(reference: Reference, taxon: Taxon, cited: _Cited, dress: Dress) -> str:
    rows = reference.hazards_of(taxon.id)
    if not rows:
        return (
            "<h3>Hazards</h3><p>No poisoning is written down here for this taxon. "
            f"{escape(CAUTION_NO_BANNER)}</p>"
        )
    lines = ["<h3>Hazards</h3>"]
    by_syndrome: dict[str, list[int]] = {}
    onsets = onsets_of(reference, taxon.id)
    for place, row in enumerate(rows):
        by_syndrome.setdefault(row.syndrome, []).append(place)
    for key, places in by_syndrome.items():
        here = [rows[place] for place in places]
        syndrome = reference.syndrome(key)
        worst = min((row.severity for row in here), key=lambda severity: severity.order)
        ground, text = dress.signals[worst]
        name = syndrome.name if syndrome is not None else key
        harm = harm_words(reference, key, worst)
        pages = [source for row in here for source in (row.source, *row.further)]
        toxins = listed(list(dict.fromkeys(row.toxin for row in here if row.toxin)) or [""])
        lines.append(
            f"<p><span style='background:{ground};color:{text};font-weight:600'>"
            f"&nbsp;{SIGNAL_WORDS[worst]}&nbsp;</span> <b>{escape(name)}</b> ({escape(harm)})"
            f"{': ' + escape(toxins) if toxins and toxins not in name else ''}{cited.mark(pages)}"
            f"{_whose(reference, [r.pack for r in here])}</p>"
        )
        if syndrome is not None and syndrome.what_happens:
            lines.append(f"<p>{escape(syndrome.what_happens)}{cited.mark([syndrome.source])}</p>")
        onset = next((one for one in onsets if one.syndrome == key), None)
        if onset is not None and onset.words:
            stages = (stage.source for stage in reference.stages_of(key))
            told = f"{onset.words[:1].upper()}{onset.words[1:]}"
            lines.append(f"<p><b>{escape(told)}.</b>{cited.mark(stages)}</p>")
        windows: dict[str, list[tuple[str, str, str]]] = {}
        for row in here:
            if window := window_words(row):
                note = row.note + marked(reference, row.pack)
                windows.setdefault(row.onset_counts or "onset", []).append((window, row.source, note.strip()))
        for counted, found in windows.items():
            by_window: dict[str, list[str]] = {}
            for window, source, note in found:
                by_window.setdefault(window + (f", {note}" if note else ""), []).append(source)
            told = "; ".join(f"{escape(w)}{cited.mark(sources)}" for w, sources in by_window.items())
            plain = {window for window, _, _ in found}
            differ = " <b>The sources differ.</b>" if len(plain) > 1 else ""
            lines.append(
                f"<p>{escape(counted[:1].upper() + counted[1:])} after the meal: {told}.{differ}</p>"
            )
        misleading = dict.fromkeys(row.misleads for row in here if row.misleads)
        lines += [f"<p>What misleads: {escape(words)}</p>" for words in misleading]
        if len({row.severity for row in here}) > 1:
            told = "; ".join(
                f"{row.severity.means}{cited.mark([row.source])}{marked(reference, row.pack)}" for row in here
            )
            lines.append(f"<p>The sources differ on how bad it is: {told}.</p>")
    return "".join(lines)


def _confusions(reference: Reference, taxon: Taxon, cited: _Cited) -> str:
    pairs: dict[str, list[Confusion]] = {}
    for pair in reference.confusions:
        if pair.taxon == taxon.id:
            pairs.setdefault(pair.lookalike, []).append(pair)
        elif pair.lookalike == taxon.id:
            pairs.setdefault(pair.taxon, []).append(pair)
    if not pairs:
        return ""
    order = sorted(
        pairs, key=lambda key: s.order if (s := reference.severity_of(key)) is not None else len(SIGNAL_WORDS)
    )
    lines = ["<h3>Mistaken for, or taken for it</h3>"]
    for key in order:
        found, other = pairs[key], reference.taxon(key)
        severity = reference.severity_of(key)
        name = other.name if other is not None else key
        danger = (
            f" ({SIGNAL_WORDS[severity].lower()}: {severity.means})"
            if severity is not None
            else f" ({NO_ENTRY})"
        )
        lines.append(
            f"<p><a href='{LINK}{escape(key)}'><i>{escape(name)}</i></a>{danger}"
            f"{cited.mark(pair.source for pair in found)}{_whose(reference, [p.pack for p in found])}. "
            + _pair_words(reference, found, "separates", "Told apart by")
            + _pair_words(reference, found, "does_not_separate", "Not told apart by")
            + " ".join(escape(note) for note in dict.fromkeys(pair.note for pair in found if pair.note))
            + "</p>"
        )
    return "".join(lines)


def _whose(reference: Reference, packs: Iterable[str]) -> str:
    """' (yours)' where all of it is the user's, ' (ours and yours)' where some of it is."""
    hers = [bool(marked(reference, pack)) for pack in packs]
    if not any(hers):
        return ""
    return " (yours)" if all(hers) else " (ours and yours)"


def _pair_words(reference: Reference, pairs: Iterable[Confusion], which: str, words: str) -> str:
    keys = dict.fromkeys(key for pair in pairs for key in getattr(pair, which))
    names = []
    for key in keys:
        feature = reference.vocabulary.feature(key)
        if feature is None:
            continue
        fragile = which == "separates" and feature.fragility >= Fragility.GOES
        names.append(escape(plain_name(feature.name)) + (" (easily lost or missed)" if fragile else ""))
    return f"{words} {listed(names)}. " if names else ""


def _features(reference: Reference, taxon: Taxon, cited: _Cited) -> str:
    lines = ["<h3>What it shows</h3><table>"]
    for part in Part:
        rows = []
        for feature in reference.vocabulary.of_part(part):
            if feature.kind == "number":
                told = "; ".join(
                    f"{escape(size_words(size))}{cited.mark([size.source])}"
                    + (f" ({escape(size.note)})" if size.note else "")
                    + marked(reference, size.pack)
                    for size in reference.sizes_of(taxon.id, feature.id)
                )
            else:
                states = reference.states_of(taxon.id, feature.id)
                told = escape(state_words(reference, feature, states)) if states else ""
                told += cited.mark(source for row in states for source in row.sources)
                counted = texts_words(reference, feature, states)
                told += f" <span class='faded'>{escape(counted)}</span>" if counted else ""
                notes = dict.fromkeys(row.note for row in states if row.note)
                told += f" ({escape('; '.join(notes))})" if notes else ""
            if told:
                rows.append(f"<tr><td class='faded'>{escape(feature.name)}</td><td>{told}</td></tr>")
        if rows:
            lines.append(f"<tr><td colspan='2' class='part'>{FULL_TITLES[part]}</td></tr>")
            if part is Part.TASTE:
                lines.append(f"<tr><td colspan='2'>{escape(CAUTION_TASTING)}</td></tr>")
            lines.extend(rows)
    lines.append("</table>")
    return "".join(lines)


def _overrides(reference: Reference, taxon: Taxon) -> str:
    here = [one for one in reference.overrides if taxon.id in one.key]
    if not here:
        return ""
    beside = {
        (row.feature, row.state) for row in reference.all_states_of(taxon.id) if not _hers(reference, row)
    }
    sizes = {row.feature for row in reference.sizes_of(taxon.id) if not _hers(reference, row)}
    lines = ["<h3>What your own pack changes</h3>"]
    for one in here:
        stays = one.key[1:] in beside if one.table == "taxon_states" else one.key[-1] in sizes
        about = escape(_about(reference, one.table, one.key))
        lines.append(
            f"<p>{about}: yours stands beside ours, because it is dangerous.</p>"
            if stays and one.table in {"taxon_states", "taxon_sizes"}
            else f"<p>{about}: yours stands in place of ours.</p>"
        )
    return "".join(lines)


def _hers(reference: Reference, row: StateFrequency | SizeRange) -> bool:
    return bool(marked(reference, row.pack))


def _about(reference: Reference, table: str, key: tuple[str, ...]) -> str:
    """What an override is about, in words: 'ring: hanging skirt'."""
    if table == "taxa":
        return "The name and its group"
    feature = reference.vocabulary.feature(key[1]) if len(key) > 1 else None
    if feature is None:
        return f"{table}: {', '.join(key[1:])}"
    state = reference.vocabulary.state(key[1], key[2]) if len(key) > 2 else None
    if len(key) > 2:
        return f"{feature.name}: {state.name if state is not None else reference.absent_name(key[1])}"
    return feature.name


def window_words(hazard: Hazard) -> str:
    """One onset window as its source has it: '6 to 24 h', 'up to 2 h', '' where none is written."""
    low, high = hazard.onset_low, hazard.onset_high
    if low is None and high is None:
        return ""
    if low is None:
        words = f"up to {high:g}"
    elif high is None or low == high:
        words = f"{low:g}" if high is not None else f"{low:g} or more"
    else:
        words = f"{low:g} to {high:g}"
    return f"{words} {hazard.onset_unit}".strip()
