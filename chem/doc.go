// Package chem knows the chemistry that a fish room is run by. It knows no
// tank, no ledger and no screen: only what is measured, in which units, and
// what things do when they go into water.
//
// # What is measured
//
// [Lookup] and [Catalogue] tell of each [Analyte] its units, plausible range and
// value in the sea. Values are kept in one canonical unit each; [Convert] and
// [ConvertDelta] turn them into the others. A [Level] is a value that knows its
// analyte and unit, so that PO4 and PO4-P cannot be added unnoticed. What people
// type, [ParseNumber], [ParseUnit], [ParseLevel], [ParseAnalyte] and
// [ParseFormula] read: forgiving about spelling and exact about errors.
//
// # What follows from it
//
// An [Analysis] is what is known of one water, [Conventions] are the scale of pH,
// the constants and the air that a computation goes by. From an analysis come the carbon dioxide
// system ([Analysis.Carbonates]: carbon dioxide, saturation of aragonite and
// calcite, in fresh water the Langelier index), un-ionised ammonia, oxygen
// saturation, the charge balance, and what lacks or is in excess against the sea
// ([Analysis.AgainstSeawater]).
//
// # What is dosed
//
// A [Product] is described by its compounds, by its label, or both;
// [Product.Effects] says what a mL or g of it does to a litre. [Amount] is for a
// gap, [Delta] for an amount, [Solve] for several products at once, and
// [Analysis.Response] tells what a dose does to pH and saturation at once and
// when the water has aired. [Product.Stock] is the recipe of a stock solution.
//
// # Water changed, mixed and lost
//
// One change, a sequence and a continuous one: [DilutedBy], [DilutedByMany],
// [DilutedContinuously], and back from a goal. [Blend] mixes two waters,
// [SeaSalt.Batch] makes salt water, [SeaSalt.SaltToRaise], [SwapForSalinity],
// [FreshToLower] and [SaltTopOff] correct its salinity, [TopOff] follows what the
// source carries in. [KnownAddition] measures a volume.
//
// # Water made
//
// [BlendMany] mixes any number of waters and [BlendTo] finds how much of each leads
// to goals, [Minerals] what to put into a soft one; [BlendCarbonates] and
// [Minerals.Carbonates] tell its pH, [Blended.Dechlorination] what takes its chlorine
// out, [Batches] how often a vat is filled.
//
// # The other way round
//
// [Analysis.DoseFor] finds the dose for a pH, carbon dioxide or saturation,
// [Analysis.WithCO2] the gas, [Analysis.PHAt] pH at another temperature,
// [Analysis.SafeAmmonia] what a published criterion allows. Planted water:
// [Analysis.CO2ByPH] with its doubt, and [WeeklyBalance].
//
// # What life does
//
// [Calcification], [Nitrification] and [Denitrification] are changes of a litre;
// [Dechlorinate] makes tap water fit.
//
// The equations of seawater are in the package seawater below this one.
// Atomic weights are the CIAAW's of 2021. Concentrations are per litre at 25 °C
// unless a unit says otherwise.
package chem
