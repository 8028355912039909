.PHONY: demo test lint fuzz lighthouse tools clean

# Compiles the demo library into ./site, which opens from disk.
demo:
	go run ./cmd/matchmark compile -o site

# Passes all tests: installs or finds what they need, the browser included.
# -count=1: the browser tests build the command, which the test cache does not see.
test: tools
	go test -count=1 -timeout 15m -tags browser ./...
	bash .ci/fuzz 5s

lint:
	bash .ci/lint

fuzz:
	bash .ci/fuzz 60s

# Scores of three pages by Lighthouse; give it a machine that does nothing else.
lighthouse:
	bash .ci/lighthouse/run

tools:
	bash .ci/tools

clean:
	rm -rf site .ci/node_modules .ci/lighthouse/node_modules
