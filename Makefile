# Two commands do everything: `make demo` and `make test`. The rest is for developers.
.PHONY: demo test build release check asan bench gallery format tools install-packages clean

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
	cmake --build build/release -j $(jobs) --target benchmarks compare_drawings
	build/release/benchmarks/benchmarks
	build/release/benchmarks/compare_drawings

# Draws the gallery again: docs/gallery, and large pictures to look at in build/gallery.
gallery: install-packages
	cmake --preset release
	cmake --build build/release -j $(jobs) --target gallery-draw etchback_paper
	build/release/bin/gallery-draw build/gallery

install-packages:
	@tools/install-packages

format:
	git ls-files 'src/*.h' 'src/*.cpp' 'tests/*.h' 'tests/*.cpp' 'benchmarks/*.cpp' | xargs clang-format -i

clean:
	rm -rf build
