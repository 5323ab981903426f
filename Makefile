# Two commands do everything: `make demo` and `make test`. The rest is for developers.
.PHONY: demo test build release check asan bench format tools install-packages clean

jobs := $(shell nproc)

demo: release
	@tools/demo

test: build
	cmake --build build/dev -j $(jobs) --target all
	ctest --preset all

check: build
	ctest --preset check

build: install-packages
	cmake --preset dev
	cmake --build build/dev -j $(jobs)

release: install-packages
	cmake --preset release
	cmake --build build/release -j $(jobs) --target etchback etchback_paper

asan: install-packages
	cmake --preset asan
	cmake --build build/asan -j $(jobs)
	ctest --preset asan

bench: install-packages
	cmake --preset release
	cmake --build build/release -j $(jobs) --target benchmarks
	build/release/benchmarks/benchmarks

install-packages:
	@tools/install-packages

format:
	git ls-files 'src/*.h' 'src/*.cpp' 'tests/*.h' 'tests/*.cpp' 'benchmarks/*.cpp' | xargs clang-format -i

clean:
	rm -rf build
