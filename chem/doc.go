// Package chem knows the chemistry that a fish room is run by. It knows no
// tank, no ledger and no screen: only what is measured, in which units, and
// what things do when they go into water.
//
//   - The catalogue: [Lookup] and [Catalogue] tell of each [Analyte] its units,
//     plausible range and value in the sea. Values are kept in one canonical
//     unit each; [Convert] and [ConvertDelta] turn them into the others.
//   - What people type: [ParseNumber], [ParseUnit], [ParseAnalyte] and
//     [ParseFormula] are forgiving about spelling and exact about errors.
//   - Products: a [Product] is described by its compounds, by its label, or
//     both; [Product.Effects] says what a mL or g of it does to a litre.
//   - Corrections: [Amount] for a gap, [Change] for an amount, [Solve] for
//     several products at once; [DilutedBy] and [ShareFor] for water changes.
//
// The equations of seawater are in the package seawater below this one.
// Atomic weights are the CIAAW's of 2021. Concentrations are per litre at 25 °C
// unless a unit says otherwise.
package chem
