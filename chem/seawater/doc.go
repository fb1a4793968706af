// Package seawater holds the published equations of state of seawater at one
// atmosphere, as far as an aquarium needs them:
//
//   - practical salinity from conductivity and back: PSS-78 with the
//     low-salinity extension of Hill, Dauphinee and Woods (1986);
//   - density: EOS-80 (Millero and Poisson 1981, UNESCO 1983);
//   - specific gravity at a hydrometer's reference temperature and salinity.
//
// Temperatures are °C on ITS-90 and are turned into IPTS-68 inside, as the
// equations ask (T68 = 1.00024 T90). Salinities are practical salinities
// without unit, written PSU where a unit must be shown. Outside the range an
// equation was published for, a function returns a [RangeError]; it never
// returns a number there. No function allocates when it succeeds.
package seawater
