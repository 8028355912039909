.PHONY: demo release test test-all lint fuzz bench lighthouse tools clean

# Compiles the demo library into ./site, which opens from disk.
demo:
	go run ./cmd/matchmark compile -o site

# Packs what is handed out into ./dist, for the tag of the commit: make release KEY=FILE signs it.
release:
	go run ./.ci/release $(if $(VERSION),-version $(VERSION)) $(if $(KEY),-key $(KEY))

# Passes the tests: installs or finds what they need, the browser included.
test: tools
	bash .ci/test

# Runs what takes longer: the race detector, fuzzing, more kills, other browsers: the parts in .ci/all.
test-all:
	bash .ci/all

lint:
	bash .ci/lint

fuzz:
	bash .ci/fuzz 30

# Scores of three pages by Lighthouse; give it a machine that does nothing else.
lighthouse:
	bash .ci/lighthouse/run

# Measures compiles against their yardsticks; TMPDIR=/dev/shm make bench SIZES=100,1000,10000 takes some minutes and 8 GB.
SIZES ?= 10,100
bench:
	go test ./compile -count=1 -v -run TestMeasure -timeout 4h -measure -sizes $(SIZES)

tools:
	bash .ci/tools

clean:
	rm -rf site .ci/node_modules .ci/lighthouse/node_modules
