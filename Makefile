# Weirkeeper: build, run and test. Every target sets up what it needs.

GO ?= go
# Fyne reads the locale at start; a plain C locale makes it log an error.
export LANG = en_GB.UTF-8
# Fyne's emoji font takes 10 MiB and a tenth of the start; emoji come from the
# desktop's fonts instead.
export GOFLAGS += -tags=no_emoji

.PHONY: run build test lint unit soak shots bench benchroom setup setup-test

# How many rounds the soak takes: each is 200 kills and 500 power cuts.
ROUNDS ?= 1

BENCHROOM ?= bench.ledger

# How often the soak runs each fuzz target, the memory it may take, and where its files
# lie: in memory, where there is a way to, since a power cut is not what is tried.
RUNS ?= 1000000
FUZZ_FILES ?= $(firstword $(wildcard /dev/shm) /tmp)
FUZZ = TMPDIR=$(FUZZ_FILES) GOMEMLIMIT=200MiB $(GO) test -run '^$$' -fuzzminimizetime 1x -fuzztime $(RUNS)x -fuzz

## run: open the program on the demo room
run: setup
	$(GO) run -buildvcs=false . --demo

## build: compile the program to ./weirkeeper
build: setup
	$(GO) build -buildvcs=false -o weirkeeper .

## test: set up, then check the sources and run every test
test: setup-test lint unit

## lint: gofmt, go vet and staticcheck, all clean
lint:
	@unformatted=$$(gofmt -l .); if [ -n "$$unformatted" ]; then echo "gofmt would change:"; echo "$$unformatted"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

# What works with several goroutines runs under the race detector: storage, whose
# long tables run in the soak, and the window with its screens. Not so what is drawn
# on one goroutine: the widgets, and the tests that look at every screen in every way.
RACED = ./storage/... $(addprefix ./app/, crash dosing figure forms handover ledgers room rounds samples savefile session setup shell state system testsheet trends trendview)
DRAWN = NothingIs|TabReaches|WideRoom|TrendIsSaved

# The real-window test must run, not be skipped, wherever make sets things up.
unit:
	WEIRKEEPER_WINDOW_TEST=required $(GO) test $$($(GO) list ./... | grep -vxF "$$($(GO) list $(RACED))")
	$(GO) test -race -skip '$(DRAWN)' $(RACED)
	$(GO) test -run '$(DRAWN)' ./app/shell

## soak: the tests of faults and laws at length, and every parser fuzzed
soak: setup-test
	WEIRKEEPER_SOAK=$(ROUNDS) $(GO) test ./storage/... -timeout 0
	$(FUZZ) FuzzRead ./storage/csvread
	$(FUZZ) FuzzGuard ./storage/csvread
	$(FUZZ) FuzzCell ./storage/safekeeping
	$(FUZZ) FuzzPages ./storage/pages
	$(FUZZ) FuzzCheck ./storage/safekeeping
	$(FUZZ) FuzzSalvage ./storage/safekeeping
	$(FUZZ) FuzzOpen ./storage
	$(FUZZ) FuzzBackupAt ./storage/safekeeping
	$(FUZZ) FuzzImportAll ./storage/safekeeping
	$(FUZZ) FuzzKeptSheet ./app/testsheet
	$(FUZZ) FuzzParseFormula ./chem
	$(FUZZ) FuzzPaste ./app/widgets
	$(FUZZ) FuzzSet ./app/typeset
	$(FUZZ) FuzzDocuments ./app/documents

## shots: every screen and widget as PNG in eight ways of looking at it, in ./shots
shots: setup
	$(GO) run ./app/shots -out shots

## bench: the benchmarks, each beside its baseline, on the bench room where it matters
bench: setup benchroom
	WEIRKEEPER_BENCHROOM=$(abspath $(BENCHROOM)) $(GO) test -run '^$$' -bench . -benchmem ./...

## benchroom: a ledger of 200 systems, ten years and two million invented readings
benchroom: $(BENCHROOM)

$(BENCHROOM):
	rm -f $(BENCHROOM).part*
	$(GO) run ./storage/demoroom/makebench -out $(BENCHROOM).part
	mv $(BENCHROOM).part $(BENCHROOM)
	rm -f $(BENCHROOM).part-*

setup:
	@.ci/setup build

setup-test:
	@.ci/setup test
