package storage_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// deeds are one of every kind of action, given a number that makes them differ.
func deeds(t testing.TB, s *storage.Store, f storagetest.Fixture) map[string]func(n int) error {
	ctx := context.Background()
	one, two := f.Systems[0].ID, f.Systems[1].ID
	text := func(n int) string { return awkward[n%len(awkward)] }
	lastReading := func() (tanks.Reading, error) {
		all, err := s.ReadingsOf(ctx, one, time.Time{}, time.Time{})
		if err != nil || len(all) == 0 {
			return tanks.Reading{}, errors.Join(err, storage.ErrNotFound)
		}
		return all[len(all)-1], nil
	}
	return map[string]func(n int) error{
		"readings": func(n int) error {
			r := calcium(f, n%1000+1, 400+float64(n%50))
			r.Note, r.Uncertainty = text(n), 1.0/3
			_, err := s.SaveSheet(ctx, []tanks.Reading{r, calcium(f, n%77+1, 410.1)}, "sheet")
			return err
		},
		"amendment": func(n int) error {
			r, err := lastReading()
			if err != nil {
				return err
			}
			r.Value, r.Note = 405+float64(n%10), text(n)
			return s.AmendReading(ctx, r.ID, r, "slip", "AB")
		},
		"withdrawal": func(int) error {
			r, err := lastReading()
			if err != nil {
				return err
			}
			return s.WithdrawReading(ctx, r.ID, "slip", "AB")
		},
		"addition": func(n int) error {
			a := tanks.Addition{System: one, Product: f.Products["calcium"].ID, At: f.Now, Amount: float64(n%90 + 1), Note: text(n)}
			return s.SaveAddition(ctx, &a)
		},
		"addition withdrawn": func(int) error {
			all, err := s.Additions(ctx, one, time.Time{}, time.Time{})
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.WithdrawAddition(ctx, all[len(all)-1].ID, "not given", "AB")
		},
		"profile copied": func(n int) error {
			p := tanks.Profile{Name: "Copy " + text(n), Kind: tanks.Marine,
				Bands: []tanks.Band{{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 440}}}
			return s.CopyProfile(ctx, &p, []tasks.Task{{Title: "Wipe " + text(n), Every: 7, Start: f.Now}})
		},
		"water change": func(n int) error {
			w := tanks.WaterChange{System: two, At: f.Now, Litres: 20, Share: 0.1, Note: text(n)}
			w.Water = []tanks.Level{{Analyte: chem.Calcium, Value: 420}}
			return s.SaveWaterChange(ctx, &w)
		},
		"note": func(n int) error {
			return s.SaveObservation(ctx, &tanks.Observation{System: one, At: f.Now, Text: text(n)})
		},
		"plan": func(n int) error {
			return s.CommitPlan(ctx, &tanks.DosingPlan{Made: f.Now, Caution: 0.5, Note: text(n), Lines: []tanks.PlanLine{{
				System: one, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Now: 400, Aim: 420, After: 410, Computed: 10,
				Doses: []tanks.Dose{{Due: f.Now, Amount: 5}, {Due: f.Now.Add(day), Amount: 5}},
			}}})
		},
		"dose": func(n int) error {
			all, err := s.RunItems(ctx, f.Now, f.Now.Add(9*day))
			if err != nil {
				return err
			}
			all = slices.DeleteFunc(all, func(i tanks.RunItem) bool { return !i.Dose.Waiting() })
			all = all[:min(len(all), n%2+1)]
			if len(all) == 0 {
				return storage.ErrNotFound
			}
			if n%3 == 0 {
				return s.DropDoses(ctx, doseIDs(all), "late", "AB")
			}
			return s.GiveDoses(ctx, given(f.Now, 4, doseIDs(all)...), "AB")
		},
		"system": func(n int) error {
			sys := tanks.System{Code: fmt.Sprintf("N%d", n%100000), Name: text(n), Kind: tanks.Marine}
			sys.Tanks = []tanks.Tank{{Length: 60, Width: 40, Height: 1.0 / 3 * 100}}
			return s.SaveSystem(ctx, &sys)
		},
		"system changed": func(n int) error {
			sys, err := s.System(ctx, two)
			if err != nil {
				return err
			}
			sys.Note, sys.Tanks = text(n), []tanks.Tank{{Name: text(n), Length: float64(n%50 + 40), Width: 30, Height: 30}}
			return s.SaveSystem(ctx, &sys)
		},
		"own bands": func(n int) error {
			return s.SaveOwnBands(ctx, one, []tanks.Band{{Analyte: chem.Nitrate, Low: 1, Aim: 2, High: 5 + float64(n%9), MaxStep: 1.0 / 3}})
		},
		"profile": func(n int) error {
			bands := []tanks.Band{{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 440}}
			return s.SaveProfile(ctx, &tanks.Profile{Name: text(n) + "p", Kind: tanks.Marine, Bands: bands})
		},
		"method": func(n int) error {
			m := f.Methods[chem.Calcium]
			m.Note, m.Accuracy = text(n), float64(n%20)
			return s.SaveMethod(ctx, &m)
		},
		"product": func(n int) error {
			p := f.Products["magnesium"]
			p.Stock, p.Caution = float64(n%2000), text(n)
			return s.SaveProduct(ctx, &p)
		},
		"stock": func(n int) error {
			return s.MoveStock(ctx, &tanks.Movement{
				Product: f.Products["calcium"].ID, At: f.Now, Kind: tanks.Bought, Change: float64(n%500 + 1), Price: 12.5, Note: text(n),
			})
		},
		"work": func(n int) error {
			chore := tasks.Task{System: one, Title: text(n) + "t", Every: 7, Start: f.Now}
			return s.SaveTask(ctx, &chore)
		},
		"tasks": func(n int) error {
			chore := tasks.Task{System: one, Title: text(n) + "t", Start: f.Now}
			again := chore
			again.System, again.Start = two, f.Now.Add(day)
			return s.SaveTasks(ctx, []tasks.Task{chore, again})
		},
		"work done": func(n int) error {
			done := tasks.Completion{System: one, Analyte: int(chem.Calcium), At: f.Now, Outcome: tasks.Skipped, Reason: text(n) + "r"}
			return s.Complete(ctx, &done)
		},
		"room": func(n int) error {
			return s.SaveRoom(ctx, tanks.Room{Name: "Room " + text(n), Zone: "Europe/Paris", Note: text(n),
				Height: tanks.HeightOf(float64(n % 4500)), Constants: seawater.Sets()[n%5]})
		},
		"person": func(n int) error {
			return s.SavePerson(ctx, &tanks.Person{Initials: fmt.Sprintf("p%d", n%1000000), Name: text(n)})
		},
		"lot": func(n int) error {
			lot := tanks.Lot{System: one, Species: text(n) + "s"}
			return s.SaveLot(ctx, &lot)
		},
		"sample": func(n int) error {
			return s.SaveSample(ctx, &tanks.Sample{System: two, Code: text(n) + "k", Lab: text(n), Drawn: f.Now.Add(-day), Note: text(n)})
		},
		"results": func(n int) error {
			all, err := s.Samples(ctx)
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			sample := all[n%len(all)]
			sample.Received = f.Now.Add(-time.Duration(n%100) * time.Second)
			result := tanks.Reading{System: two, Analyte: chem.Calcium, At: f.Now, Value: 420, Sample: sample.ID}
			return s.SaveResults(ctx, sample, []tanks.Reading{result}, "")
		},
		"label": func(n int) error {
			p := f.Products["bicarbonate"]
			label := chem.Strength{Analyte: chem.Calcium, Amount: 1, Litres: 100, Raises: float64(n%9 + 1)}
			p.Contents = chem.Product{Form: chem.Liquid, Label: []chem.Strength{label}}
			return s.SaveProduct(ctx, &p)
		},
		"correction": func(n int) error {
			from := f.Now.Add(time.Duration(n) * time.Hour)
			return s.SaveCorrection(ctx, &tanks.Correction{
				Method: f.Methods[chem.Calcium].ID, From: from, Until: from.Add(time.Minute), Factor: 1, Shift: 1.0 / 3, Reason: text(n) +
					"c",
			})
		},
		"correction withdrawn": func(int) error {
			all, err := s.Corrections(ctx)
			all = slices.DeleteFunc(all, func(c tanks.Correction) bool { return c.Status != tanks.Live })
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.WithdrawCorrection(ctx, all[0].ID, "slip", "AB")
		},
		"standard": func(n int) error {
			return s.SaveStandardCheck(ctx, &tanks.StandardCheck{
				Method: f.Methods[chem.Calcium].ID, At: f.Now, Standard: text(n) + "s", Expected: 400, Found: float64(n % 500),
			})
		},
		"pump": func(n int) error {
			heads := []tanks.Head{{Number: 1, Step: 0.1}, {Number: 2, Name: text(n)}}
			return s.SavePump(ctx, &tanks.Pump{Name: text(n) + "p", Heads: heads})
		},
		"heads": func(n int) error {
			pump, err := onlyPump(ctx, s)
			if err != nil {
				return err
			}
			heads := pump.Heads
			heads[0].Number, heads[len(heads)-1].Number = heads[len(heads)-1].Number, heads[0].Number // change places
			pump.Heads = append(slices.Clone(heads[:max(1, len(heads)-n%2)]), tanks.Head{Number: n + 10})
			return s.SavePump(ctx, &pump)
		},
		"calibration": func(n int) error {
			pump, err := onlyPump(ctx, s)
			if err != nil {
				return err
			}
			runs := []tanks.Run{{Seconds: 60, Millilitres: 40, Graduation: 1}, {Seconds: 61, Millilitres: 41, Graduation: 1}}
			return s.SaveCalibration(ctx, &tanks.Calibration{Head: pump.Heads[0].ID, At: f.Now, Note: text(n), Runs: runs})
		},
		"container": func(n int) error {
			return s.SaveContainer(ctx, &tanks.Container{
				Name: text(n) + "v", Product: f.Products["calcium"].ID, Capacity: 1000, Contents: float64(n % 900), AsOf: f.Now,
			})
		},
		"program": func(n int) error {
			pump, err := onlyPump(ctx, s)
			if err != nil {
				return err
			}
			all, err := s.Containers(ctx)
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.SaveProgram(ctx, &tanks.Program{
				Head: pump.Heads[0].ID, System: one, Container: all[0].ID, From: f.Now.Add(time.Duration(n) * time.Minute),
				Daily: 10, Doses: 5, End: 1440, Note: text(n),
			})
		},
		"lot moved": func(n int) error {
			all, err := s.Lots(ctx)
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.SaveLotEvent(ctx, &tanks.LotEvent{Lot: all[0].ID, At: f.Now, Kind: tanks.Moved, To: f.Systems[n%2].ID, Note: text(n)})
		},
		"photo": func(n int) error {
			return s.AddPhoto(ctx, &tanks.Photo{System: one, At: f.Now, Caption: text(n)}, bytes.NewReader(picture(t, n%20+1)))
		},
		"column map": func(n int) error {
			return s.SaveColumnMap(ctx, &csvread.ColumnMap{Name: text(n) + "m", System: text(n/7) + "F1"})
		},
		"column map deleted": func(int) error {
			all, err := s.ColumnMaps(ctx)
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.DropColumnMap(ctx, all[0].ID)
		},
		"water recipe": func(n int) error {
			return s.SaveWaterRecipe(ctx, &tanks.WaterRecipe{
				Name: fmt.Sprint(text(n), n), For: one, Litres: 100, CalciumToMagnesium: 3, Air: 600,
				Portions: []tanks.RecipePortion{{Source: one, Litres: 40}, {Source: two}},
				Goals:    []tanks.RecipeGoal{{Analyte: chem.Hardness, Value: 1.0 / 3}, {Analyte: chem.Nitrate, Value: 20, AtMost: true}},
				Products: []tanks.ProductID{f.Products["calcium"].ID, f.Products["magnesium"].ID},
			})
		},
		"water recipe changed": func(n int) error {
			all, err := s.WaterRecipes(ctx)
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			all[0].Litres, all[0].Goals = float64(n%90+50), all[0].Goals[:1]
			return s.SaveWaterRecipe(ctx, &all[0])
		},
		"water recipe removed": func(int) error {
			all, err := s.WaterRecipes(ctx)
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.RemoveWaterRecipe(ctx, all[0].ID)
		},
		"import": func(n int) error {
			text := fmt.Sprintf("2026-02-01T08:00:%02dZ,F1,Ca,%d,mg/L,,,imported\n", n%60, 400+n%40) +
				fmt.Sprintf("2026-02-01T08:00:%02dZ,F2,Mg,1300,mg/L,,,imported\n", n%60)
			_, err := s.ImportCSV(ctx, strings.NewReader(head+text), storage.CSVOptions{Name: "x.csv"})
			return err
		},
	}
}

func onlyPump(ctx context.Context, s *storage.Store) (tanks.Pump, error) {
	all, err := s.Pumps(ctx)
	if err != nil || len(all) == 0 {
		return tanks.Pump{}, errors.Join(err, storage.ErrNotFound)
	}
	return all[0], nil
}

// firstDeeds are deeds that others need.
var firstDeeds = []string{"readings", "sample", "plan", "addition", "pump", "container", "lot", "column map", "correction", "water recipe"}

// everything does one deed of every kind, so that no table is empty.
func everything(t testing.TB, s *storage.Store, f storagetest.Fixture) {
	t.Helper()
	all := deeds(t, s, f)
	order := slices.Concat(firstDeeds, slices.Sorted(maps.Keys(all)))
	for n, name := range order {
		if err := all[name](n); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
}
