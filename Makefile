# What a contributor types. `make test` sets up all it needs but Go itself.
GO ?= go
STATICCHECK = $(GO) run honnef.co/go/tools/cmd/staticcheck@v0.8.2
# Programs under testdata, which ./... leaves out.
TOOLS = ./testdata/bench ./testdata/exact/dump
PLATFORMS = linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64

.PHONY: test check race fuzz bench demo judges dist clean

test:
	$(GO) test ./...

check:
	@test -z "$$(gofmt -l .)" || { echo 'gofmt would change:'; gofmt -l .; exit 1; }
	$(GO) vet ./... $(TOOLS)
	$(STATICCHECK) ./... $(TOOLS)

# The race detector slows things tenfold: only the packages that use several
# cores, and only their short tests.
RACED = Cores|Stops|Batches|Progress|Cancelling|CallsOff
race:
	$(GO) test -race -short -run '$(RACED)' ./field ./internal/crossing ./internal/tree ./mesh/... ./assemble ./membrane ./pocket ./engine
	$(GO) test -race ./internal/kept ./internal/workers ./publish -short

# Every fuzz target of every package, FUZZTIME each, two at a time: a fuzzer that
# is given one worker keeps one core busy.
FUZZTIME ?= 20s
fuzz:
	@set -e; for package in $$($(GO) list ./...); do \
	  $(GO) test -list '^Fuzz' $$package | grep '^Fuzz' | sed "s#^#$$package #" || true; \
	done | xargs -P 2 -L 1 sh -c '.ci/fuzz $$0 $$1 $(FUZZTIME)'

# Judges that are not ours: admesh, gltf-validator and an independent 3MF
# reader. testdata/judges/setup installs them where it can.
judges:
	EARFRAME_JUDGES=1 $(GO) test -run 'Judge' ./mesh/... ./practice/...

bench:
	$(GO) run ./testdata/bench

demo:
	$(GO) run ./cmd/earframe demo

dist:
	@for platform in $(PLATFORMS); do \
	  os=$${platform%/*}; arch=$${platform#*/}; \
	  out=dist/earframe-$$os-$$arch; \
	  if [ $$os = windows ]; then out=$$out.exe; fi; \
	  echo $$out; \
	  CGO_ENABLED=0 GOOS=$$os GOARCH=$$arch $(GO) build -trimpath -ldflags '-s -w' -o $$out ./cmd/earframe || exit 1; \
	done

clean:
	rm -rf dist build demo
