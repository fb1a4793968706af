// Package seawater holds the published equations of seawater, and of fresh water
// where it differs, at one atmosphere, as far as an aquarium needs them.
//
// # Salinity, density and the instruments that tell them
//
// Practical salinity from conductivity and back is PSS-78, with the low-salinity
// extension of Hill, Dauphinee and Woods (1986): [SalinityFromConductivity]. A
// meter's linear compensation is undone by [Compensation]. Density is EOS-80
// (Millero and Poisson 1981, UNESCO 1983): [Density]. Specific gravity stands at a
// hydrometer's reference temperature ([SalinityFromGravity]) or at the sample's
// own ([SalinityFromRelativeDensity], [SalinityFromHydrometer]). Refraction is
// Quan and Fry (1995): [SalinityFromRefraction], [SalinityFromRefractometer].
//
// # What it is made of
//
// [ReferenceComposition] is that of Millero, Feistel, Wright and McDougall
// (2008) at any salinity, per kg and per litre.
//
// # Carbon dioxide
//
// [Water] is any water from fresh to the sea: it names the equations of each stretch
// and the bridges between them, and solves a [CO2System] from alkalinity and pH, DIC
// or pCO2, with the doubt that a bridge leaves. [Conditions] do the same by one of
// the published sets alone, which are never mixed but on a bridge. pH stands on
// one of four scales ([PHScale]), which differ by up to 0.2 in seawater.
//
//	set            salinity  temperature  K1, K2           borate         KF                      KW
//	SetUppstrom    19-43     2-35 °C      Lueker 2000      Uppström 1974  Dickson and Riley 1979  Millero 1995
//	SetLee         19-43     2-35 °C      Lueker 2000      Lee 2010       Dickson and Riley 1979  Millero 1995
//	SetGuide2007   19-43     2-35 °C      Lueker 2000      Uppström 1974  Perez and Fraga 1987    Guide 2007
//	SetEstuary      5-42     5-40 °C      Millero 2010     Uppström 1974  Dickson and Riley 1979  Millero 1995
//	SetEstuaryLee   5-42     5-40 °C      Millero 2010     Lee 2010       Dickson and Riley 1979  Millero 1995
//
// # Gases
//
// [OxygenSolubility] is Benson and Krause (1984) with pressure. [Water.UnionizedAmmonia] is Emerson et al. (1975) with
// ionic strength, in the sea Clegg and Whitfield (1995). [AirPCO2] is what dry air's
// ppm are over a water, by Weiss and Price (1980).
//
// # Conventions
//
// Temperatures are °C on ITS-90. Salinity and density turn them
// into IPTS-68 inside, as their equations ask (T68 = 1.00024 T90); the others take
// them as they are. Salinities are practical salinities without unit, written PSU
// where a unit must be shown. Outside the range an equation was published for, a
// function returns a [RangeError]; it never returns a number there. No function
// allocates when it succeeds.
package seawater
