package tanks

// Identifiers of the room's things. They are given by the ledger; zero means
// not saved yet, or none.
type (
	SystemID      int64
	TankID        int64
	ProfileID     int64
	MethodID      int64
	ReadingID     int64
	SampleID      int64
	ProductID     int64
	AdditionID    int64
	WaterChangeID int64 // of a water change
	PlanID        int64
	LineID        int64 // of a plan's line
	DoseID        int64 // of one dose of a plan's line
	NoteID        int64 // of an observation

	PersonID        int64
	CorrectionID    int64
	StandardCheckID int64
	MovementID      int64 // of stock
	PumpID          int64
	HeadID          int64
	CalibrationID   int64
	ContainerID     int64
	ProgramID       int64
	LotID           int64
	LotEventID      int64
	PhotoID         int64
	WaterRecipeID   int64
)
