"""What each complaint about a file of fans says, and what it advises; what each note says."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from fleet.plate_words import CONTRADICTIONS, Words

FILE_COMPLAINTS: Mapping[str, Words] = {
    "empty": (_("the file is empty"), _("choose the file with the fans")),
    "too_big": (
        _("the file has %(size)s MB; up to %(most)s MB are read"),
        _("split it into several files, each with its heading row"),
    ),
    "bomb": (
        _("unpacked, the file would be larger than %(most)s MB"),
        _("save the sheet as CSV, or split it"),
    ),
    "too_many_parts": (_("inside, the file has over %(most)s parts"), _("save the sheet as CSV")),
    "too_many_hollow": (_("over %(most)s cells hold no result"), _("paste the values, or use CSV")),
    "too_many_rows": (
        _("the sheet has more than %(most)s rows"),
        _("split it, and delete empty rows at its end"),
    ),
    "too_many_columns": (
        _("a row has more than %(most)s columns"),
        _("delete what lies right of the last heading"),
    ),
    "cell_too_long": (
        _("a cell has more than %(longest)s characters"),
        _("shorten it; in a CSV file look for a quote that is never closed"),
    ),
    "kind_unknown": (
        _("this is neither a CSV nor an XLSX file"),
        _("save the sheet as CSV (UTF-8) or as .xlsx"),
    ),
    "looks_like_records": (
        _("this looks like JSON lines, not like a list of fans"),
        _("bring it in as old visits (import_visits)"),
    ),
    "old_office": (
        _("this is an old .xls file, or an .xlsx with a password"),
        _("save it without password as .xlsx, or as CSV"),
    ),
    "password": (_("the file has a password"), _("save it without one")),
    "workbook_broken": (
        _("the XLSX file is damaged (%(said)s)"),
        _("open it in a spreadsheet program and save it again"),
    ),
    "declares_entities": (
        _("the file declares XML entities in %(part)s, which no spreadsheet program does"),
        _("save the sheet as CSV"),
    ),
    "csv_broken": (
        _("the CSV file breaks off around line %(line)s (%(said)s)"),
        _("look there for a quote that is never closed"),
    ),
    "encoding_broken": (
        _("the file says it is %(encoding)s, but is not from byte %(at)s on"),
        _("save it again as CSV (UTF-8)"),
    ),
    "encoding_wrong": (
        _("the text is in an encoding we cannot tell (byte %(byte)s)"),
        _("save it again as CSV (UTF-8)"),
    ),
    "encoding_unknown": (
        _("the file holds zero bytes: no CSV, or UTF-16 that does not say so"),
        _("save it again as CSV (UTF-8)"),
    ),
    "register_moved": (
        _("somebody else changed the register at the same moment"),
        _("import the file again"),
    ),
}

HEADING_COMPLAINTS: Mapping[str, Words] = {
    "no_headings": (
        _("no heading row was found in the first rows"),
        _("give the columns headings such as Owner, Site, Tag"),
    ),
    "no_rows": (_("there are headings but no fans below them"), _("add a row for each fan")),
    "heading_missing": (_("the column is missing"), _("add it, or rename the one that holds it")),
    "heading_twice": (
        _("this column and %(other_column)s (%(other)s) mean the same"),
        _("delete one of them"),
    ),
    "heading_slip": (
        _("we know no such heading"),
        _("if it means %(heading)s rename it, else delete the column"),
    ),
    "heading_unit": (
        _("the unit in the heading does not fit this column"),
        _("write it in %(units)s"),
    ),
}

CELL_COMPLAINTS: Mapping[str, Words] = {
    "told": ("%(problem)s", "%(remedy)s"),
    "blank": (
        _("the cell is blank"),
        _("fill it in, since every fan needs owner, site and tag; or delete the row if it is none"),
    ),
    "headings_again": (_("these are the headings again"), _("delete the row")),
    "cell_outside": (
        _("the row is longer than the headings"),
        _("put quotes around a cell with commas in it, or delete the extra cell"),
    ),
    "merged": (_("cells are merged"), _("unmerge them and fill in each one")),
    "formula_without_value": (
        _("the formula has no stored result"),
        _("open the file in a spreadsheet program and save it, or paste the values"),
    ),
    "error_cell": (_("the cell holds an error"), _("correct its formula, or empty it")),
    "hidden_character": (
        _("the cell holds the hidden character %(character)s"),
        _("type the text anew"),
    ),
    "too_long": (
        _("the text has %(length)s characters; %(longest)s fit"),
        _("shorten it, or move it to Fan notes"),
    ),
    "note_too_long": (
        _("the text has %(length)s characters; %(longest)s fit"),
        _("shorten it"),
    ),
    "made_a_date": (
        _("this is a date, which spreadsheets make of texts such as 1-2 or 1/3"),
        _("format the column as text, then type what was meant anew"),
    ),
    "not_a_plate_part": (
        _("only what stands on a nameplate can be marked unreadable"),
        _("empty the cell, or fill it in"),
    ),
    "not_an_email": (
        _("this is no email address"),
        _("write one as in name@place.example"),
    ),
    "not_yes_no": (_("this is neither yes nor no"), _("write yes or no")),
    "not_a_choice": (_("this column does not know that word"), _("write one of %(choices)s")),
    "not_a_class": (
        _("this is no cooking class"),
        _("write one of %(choices)s; several parted by ;"),
    ),
    "single_phase": (
        _("single-phase says not enough of the motor"),
        _(
            "write PSC for a motor with a run capacitor, EC for an electronic one, else other; or "
            "call the column Phases"
        ),
    ),
    "not_phases": (
        _("this is no number of phases"),
        _("write 1 or 3; the kind of motor goes into a column Motor type"),
    ),
    "country_unknown": (_("we do not know this country"), _("write its two-letter code, as in US")),
    "zone_unknown": (
        _("we do not know this time zone"),
        _("write a name such as America/Chicago"),
    ),
    "zone_near": (
        _("we do not know this time zone"),
        _("if it means %(zone)s write that, else a name such as America/Chicago"),
    ),
    "zone_missing": (
        _("the site has no time zone, and its owner's other sites do not settle it"),
        _("write a name such as America/Chicago"),
    ),
}

NUMBER_COMPLAINTS: Mapping[str, Words] = {
    "not_a_number": (
        _("this is no number"),
        _("write digits, with a point before decimals, as in 1.5"),
    ),
    "not_visits": (
        _("this is no number of visits a year"),
        _("write a whole number, or as due"),
    ),
    "not_finite": (_("this is no finite number"), _("write the number, or leave the cell empty")),
    "not_whole": (_("this is no whole number"), _("write a whole number")),
    "two_numbers": (
        _("these are two numbers"),
        _("write the rated one here, the other into Fan notes"),
    ),
    "comma_unclear": (
        _("the comma could part thousands or decimals: %(low)s or %(high)s"),
        _("write it with a point or without the comma"),
    ),
    "out_of_range": (
        _("%(value)s is not plausible here"),
        _("check it; %(bounds)s is accepted"),
    ),
    "unit_missing": (
        _("the number has no unit"),
        _("write %(units)s in the heading or behind the number"),
    ),
    "unit_unknown": (_("we do not know the unit %(unit)s"), _("write it in %(units)s")),
    "unit_misfit": (_("the unit %(unit)s does not fit here"), _("write it in %(units)s")),
}

DAY_COMPLAINTS: Mapping[str, Words] = {
    "not_a_day": (_("this is no date"), _("write it as in 2026-03-02")),
    "not_days": (
        _("this is no date, nor a list of them"),
        _("write each as in 2026-03-02, several parted by ;"),
    ),
    "no_such_day": (_("the calendar has no such day"), _("write it as in 2026-03-02")),
    "day_out_of_range": (
        _("the date is not plausible"),
        _("check it; %(low)s to %(high)s is accepted"),
    ),
    "day_serial": (
        _("this looks like a spreadsheet's day number"),
        _("format the column as a date"),
    ),
    "day_incomplete": (
        _("the date is incomplete"),
        _("write a whole day as in 2019-07-01; if only the year is known, its middle"),
    ),
    "day_unclear": (
        _("month and day could be either way round"),
        _("write the dates of this column as in 2026-03-02"),
    ),
    "year_short": (
        _("the year has two digits"),
        _("write the dates of this column as in 2026-03-02"),
    ),
}

ROW_COMPLAINTS: Mapping[str, Words] = {
    "tag_twice": (
        _("this site has the same tag in row %(other_row)s already"),
        _("give each fan of a site a tag of its own, or delete one row"),
    ),
    "conflict": (
        _("row %(other_row)s says %(other)s of the same %(part)s"),
        _("make both rows agree, or fill it in once and leave it empty elsewhere"),
    ),
    "coordinate_alone": (_("%(other)s is missing"), _("give both coordinates or neither")),
    "machine_gone": (
        _("since %(day)s %(machine)s is installed there; this row tells of an earlier one"),
        _("describe the machine there now, or empty the cells of the machine in this row"),
    ),
}

COMPLAINTS: Mapping[str, Words] = {
    **FILE_COMPLAINTS, **HEADING_COMPLAINTS, **CELL_COMPLAINTS, **NUMBER_COMPLAINTS,
    **DAY_COMPLAINTS, **ROW_COMPLAINTS, **CONTRADICTIONS,
}  # fmt: skip

NOTES: Mapping[str, str | Promise] = {
    "encoding_guessed": _("not UTF-8; read as Windows-1252: check that names look right"),
    "other_sheets": _("only this sheet was read; not read: %(others)s"),
    "comments": _(
        "cells have comments, which are not read (%(count)s: %(where)s); copy what matters into a "
        "column such as Fan notes"
    ),
    "heading_unknown": _("a column we do not know was left out"),
    "spelling": _("spelled in two ways; kept as %(other)s"),
    "almost_like": _("almost like %(other)s, but taken as another; is one of them misspelt?"),
    "site_of_two": _(
        "taken as a site of %(owner)s, while %(other)s has one of the same name and address"
    ),
    "judged": _("%(verdict)s: %(sentence)s Rests on %(basis)s."),
    "replaced_since": _(
        "this tells of the machine replaced on %(day)s; the one there now stays as it is on record"
    ),
    "zone_assumed": _("no time zone given; taken from the owner's other sites: %(zone)s"),
    "assumed": _("not given; taken as %(value)s"),
    "place_swapped": _("latitude and longitude look swapped for %(country)s"),
    "place_sign": _("a sign looks wrong: the place is not in %(country)s"),
    "place_outside": _("the place is not in %(country)s"),
}
