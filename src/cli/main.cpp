#include "cli/run.h"

int main(int argc, char** argv) { return etchback::cli::run(argc, argv); }
