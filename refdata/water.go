package refdata

// WaterLiquid holds the ten coefficients n1..n10 of the saturation equation of
// liquid water, IAPWS-IF97 region 4, in the form used there (MPa, K).
type WaterLiquid struct {
	N         [10]float64
	MolarMass float64 // kg/mol
	Cite
}

// WaterIce holds the sublimation equation of ice,
// ln(p/Triple) = Σ A·θ^B / θ with θ = T/TripleT.
type WaterIce struct {
	A, B    [3]float64
	TripleT float64 // K
	TripleP float64 // Pa absolute
	Cite
}

// Water gives the saturation of liquid water, 0 to 350 °C.
func Water() WaterLiquid {
	return WaterLiquid{
		N: [10]float64{
			0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2,
			0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2,
			-0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
		},
		MolarMass: 0.018015268,
		Cite:      published("IAPWS R7-97(2012), IAPWS-IF97", "region 4, table 34, eq. 30; coefficients from memory, they reproduce a table computed with another implementation"),
	}
}

// Ice gives the sublimation pressure of ice, 50 to 273.16 K.
func Ice() WaterIce {
	return WaterIce{
		A:       [3]float64{-0.212144006e2, 0.273203819e2, -0.610598130e1},
		B:       [3]float64{0.333333333e-2, 0.120666667e1, 0.170333333e1},
		TripleT: 273.16, TripleP: 611.657,
		Cite: published("IAPWS R14-08(2011)", "eq. 6, table 4; coefficients from memory, they reproduce a table computed with another implementation"),
	}
}
