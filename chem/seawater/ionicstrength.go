package seawater

const (
	// freshUpTo and seaFrom bound the bridge between fresh water and the sea in PSU:
	// Millero's K1 and K2 of 2010 hold from 1 PSU, boric acid's and the minerals'
	// constants from 5.
	freshUpTo = 1
	seaFrom   = 5
	// naturalUpTo and saltFrom bound the bridge between the ionic strengths of natural
	// fresh waters and of thinned sea salt in PSU (our choice: Russell's waters had up
	// to some 1000 µS/cm).
	naturalUpTo = 0.5
	saltFrom    = 2.5
	// molPerMicroSiemens is Russell's rule for natural fresh waters, 1.6e-5 mol/L
	// for each µS/cm (Russell 1976 in Snoeyink and Jenkins 1980, from memory).
	molPerMicroSiemens = 1.6e-5
	microInMilli       = 1000
)

// IonicStrength returns the ionic strength in mol per kg of water of a practical
// salinity, 0 to 42, where the ions are not known one by one. From 2.5 PSU it is sea
// salt's, 19.924·S/(1000 − 1.005·S) (Dickson, Sabine and Christian 2007); up to 0.5
// PSU that of natural fresh waters by their conductivity, 1.6e-5 for each µS/cm at
// 25 °C, good to about a fifth, as their salts are not the sea's; between them a
// bridge leads from one to the other. Outside it returns a [RangeError].
func IonicStrength(s float64) (float64, error) {
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	if s >= saltFrom {
		return seaSaltIonicStrength(s), nil
	}
	mScm, err := ConductivityFromSalinity(s, 25)
	if err != nil {
		return 0, err
	}
	return ionicStrength(s, mScm), nil
}

// IonicStrengthFromConductivity returns [IonicStrength] of a water by its
// conductivity in µS/cm at 25 °C. Outside the range of
// [SalinityFromConductivity] it returns a [RangeError].
func IonicStrengthFromConductivity(microSiemens float64) (float64, error) {
	s, err := SalinityFromConductivity(microSiemens/microInMilli, 25)
	if err != nil {
		return 0, err
	}
	return ionicStrength(s, microSiemens/microInMilli), nil
}

// ionicStrength is that of a salinity with its conductivity in mS/cm at 25 °C.
func ionicStrength(s, mScm float64) float64 {
	natural := molPerMicroSiemens * microInMilli * mScm
	return natural + smooth(s, naturalUpTo, saltFrom)*(seaSaltIonicStrength(s)-natural)
}

func seaSaltIonicStrength(s float64) float64 { return 19.924 * s / (1000 - 1.005*s) }

// salinityOfIonicStrength inverts seaSaltIonicStrength.
func salinityOfIonicStrength(i float64) float64 { return 1000 * i / (19.924 + 1.005*i) }

// smooth rises from 0 at low to 1 at high without a bend at its ends.
func smooth(x, low, high float64) float64 {
	t := min(max(0, (x-low)/(high-low)), 1)
	return t * t * (3 - 2*t)
}
