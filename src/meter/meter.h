#pragma once
/// Room `meter`: what a log of an inline meter, supply or logger says about a unit. Knows `base`
/// and `profile` (thresholds and readings); takes text and numbers, never files.
///
/// log.h            a log as columns, read from any dialect of delimited text
/// phases.h         phases and charge; change points of one series; a trace for drawing
/// figures.h        peak, time in each kind, the supply, the end of a charge, what the battery took
/// outcome.h        what the phases say of a check, surely or as likelihoods
/// by_eye.h         a meter read at a glance, typed as a few words
/// change_points.h  the exact penalised search beneath both
/// meter_json.h     the documents of `lotwright meter` and `lotwright segment`, as JSON and as text
///
/// Inside the reader: rows.h (lines and fields) feeds column_builder.h (columns), which follow
/// dialect.h (separator, decimal mark, heading, which column is what), headings.h (names and units)
/// and values.h (numbers, clocks and dates).
#include "meter/log.h"      // IWYU pragma: export
#include "meter/outcome.h"  // IWYU pragma: export
#include "meter/phases.h"   // IWYU pragma: export
