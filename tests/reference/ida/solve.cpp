#include "reference/ida/solve.h"

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include <algorithm>
#include <cmath>
#include <ctime>
#include <set>
#include <stdexcept>
#include <utility>

namespace etchback::ida {
namespace {

double cpu_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

std::span<double> view(N_Vector v) {
    return {N_VGetArrayPointer(v), static_cast<std::size_t>(N_VGetLength(v))};
}

// Notes where entries are.
class Pattern final : public Stamps {
public:
    void add(int row, int column, double) override { places.insert({column, row}); }
    std::set<std::pair<int, int>> places;  // column first: the order of compressed columns
};

// Writes entries into a dense or a compressed matrix through a table of places.
class Filler final : public Stamps {
public:
    Filler(const std::vector<int>& slots, int size, double* data)
        : slots_(slots), size_(size), data_(data) {}
    void add(int row, int column, double value) override {
        data_[slots_[static_cast<std::size_t>(column * size_ + row)]] += value;
    }

private:
    const std::vector<int>& slots_;
    int size_;
    double* data_;
};

class Dense final : public Stamps {
public:
    explicit Dense(int size) : size_(size), at(static_cast<std::size_t>(size * size), 0.0) {}
    void add(int row, int column, double value) override {
        at[static_cast<std::size_t>(row * size_ + column)] += value;
    }

private:
    int size_;

public:
    std::vector<double> at;
};

void check(int flag, const char* call) {
    if (flag < 0) {
        throw std::runtime_error(std::string(call) + " failed with flag " + std::to_string(flag));
    }
}

class Run {
public:
    Run(Equations& equations, const SolveOptions& options);
    ~Run();
    Run(const Run&) = delete;
    Run& operator=(const Run&) = delete;
    Course go();

private:
    static int residual(realtype t, N_Vector y, N_Vector yp, N_Vector r, void* self);
    static int jacobian(realtype t,
                        realtype cj,
                        N_Vector y,
                        N_Vector yp,
                        N_Vector r,
                        SUNMatrix j,
                        void* self,
                        N_Vector,
                        N_Vector,
                        N_Vector);
    static int roots(realtype t, N_Vector y, N_Vector yp, realtype* g, void* self);
    static void quiet(int, const char*, const char*, char*, void*) {}

    void make_matrix();
    void restart(double t);
    void keep(double t, double& next_sample, N_Vector scratch);
    void handle_roots(double t);

    Equations& equations_;
    const SolveOptions& options_;
    int size_;
    SUNContext context_ = nullptr;
    N_Vector y_ = nullptr, yp_ = nullptr, tolerance_ = nullptr, kind_ = nullptr;
    SUNMatrix matrix_ = nullptr;
    SUNLinearSolver linear_ = nullptr;
    void* ida_ = nullptr;
    std::vector<int> slots_;
    std::vector<std::pair<int, int>> places_;
    Course course_;
};

Run::Run(Equations& equations, const SolveOptions& options)
    : equations_(equations), options_(options), size_(equations.size()) {
    SUNContext_Create(nullptr, &context_);
    y_ = N_VNew_Serial(size_, context_);
    yp_ = N_VNew_Serial(size_, context_);
    tolerance_ = N_VNew_Serial(size_, context_);
    kind_ = N_VNew_Serial(size_, context_);
    N_VConst(0.0, yp_);
    equations_.start(view(y_), view(tolerance_));
    N_VScale(options_.relative, tolerance_, tolerance_);
    const std::vector<bool> differential = equations_.differential();
    for (int i = 0; i < size_; ++i) {
        view(kind_)[static_cast<std::size_t>(i)] =
            differential[static_cast<std::size_t>(i)] ? 1.0 : 0.0;
    }
    ida_ = IDACreate(context_);
    check(IDASetErrHandlerFn(ida_, quiet, nullptr), "IDASetErrHandlerFn");
    check(IDAInit(ida_, residual, 0.0, y_, yp_), "IDAInit");
    check(IDASVtolerances(ida_, options_.relative, tolerance_), "IDASVtolerances");
    check(IDASetUserData(ida_, this), "IDASetUserData");
    check(IDASetId(ida_, kind_), "IDASetId");
    check(IDASetMaxNumSteps(ida_, -1), "IDASetMaxNumSteps");
    check(IDASetMaxStep(ida_, options_.longest_step_s), "IDASetMaxStep");
    make_matrix();
    check(IDASetLinearSolver(ida_, linear_, matrix_), "IDASetLinearSolver");
    check(IDASetJacFn(ida_, jacobian), "IDASetJacFn");
    if (equations_.guards() > 0) {
        check(IDARootInit(ida_, equations_.guards(), roots), "IDARootInit");
        check(IDASetNoInactiveRootWarn(ida_), "IDASetNoInactiveRootWarn");
    }
}

Run::~Run() {
    IDAFree(&ida_);
    SUNLinSolFree(linear_);
    SUNMatDestroy(matrix_);
    for (N_Vector v : {y_, yp_, tolerance_, kind_}) {
        N_VDestroy(v);
    }
    SUNContext_Free(&context_);
}

void Run::make_matrix() {
    slots_.assign(static_cast<std::size_t>(size_ * size_), 0);
    if (!options_.sparse) {
        for (int i = 0; i < size_ * size_; ++i) {
            slots_[static_cast<std::size_t>(i)] = i;  // columns one after another
        }
        matrix_ = SUNDenseMatrix(size_, size_, context_);
        linear_ = SUNLinSol_Dense(y_, matrix_, context_);
        return;
    }
    Pattern pattern;
    equations_.jacobian(0.0, view(y_), 1.0, pattern);
    int slot = 0;
    for (const auto& [column, row] : pattern.places) {
        slots_[static_cast<std::size_t>(column * size_ + row)] = slot++;
        places_.emplace_back(column, row);
    }
    matrix_ = SUNSparseMatrix(size_, size_, slot, CSC_MAT, context_);
    linear_ = SUNLinSol_KLU(y_, matrix_, context_);
}

int Run::residual(realtype t, N_Vector y, N_Vector yp, N_Vector r, void* self) {
    static_cast<Run*>(self)->equations_.residual(t, view(y), view(yp), view(r));
    return 0;
}

int Run::jacobian(realtype t,
                  realtype cj,
                  N_Vector y,
                  N_Vector,
                  N_Vector,
                  SUNMatrix j,
                  void* self,
                  N_Vector,
                  N_Vector,
                  N_Vector) {
    Run& run = *static_cast<Run*>(self);
    SUNMatZero(j);
    double* data = nullptr;
    if (run.options_.sparse) {
        sunindextype* starts = SUNSparseMatrix_IndexPointers(j);
        sunindextype* rows = SUNSparseMatrix_IndexValues(j);
        std::fill(starts, starts + run.size_ + 1, 0);
        for (std::size_t k = 0; k < run.places_.size(); ++k) {
            rows[k] = run.places_[k].second;
            ++starts[run.places_[k].first + 1];
        }
        for (int c = 0; c < run.size_; ++c) {
            starts[c + 1] += starts[c];
        }
        data = SUNSparseMatrix_Data(j);
    } else {
        data = SUNDenseMatrix_Data(j);
    }
    Filler filler(run.slots_, run.size_, data);
    run.equations_.jacobian(t, view(y), cj, filler);
    return 0;
}

int Run::roots(realtype t, N_Vector y, N_Vector, realtype* g, void* self) {
    Run& run = *static_cast<Run*>(self);
    run.equations_.guard_values(t, view(y), {g, static_cast<std::size_t>(run.equations_.guards())});
    return 0;
}

// Algebraic unknowns and derivatives that fit the differential unknowns, then a fresh start.
void Run::restart(double t) {
    check(IDAReInit(ida_, t, y_, yp_), "IDAReInit");
    check(IDACalcIC(ida_, IDA_YA_YDP_INIT, t + 1e-7), "IDACalcIC");
    check(IDAGetConsistentIC(ida_, y_, yp_), "IDAGetConsistentIC");
}

void Run::keep(double t, double& next_sample, N_Vector scratch) {
    const std::span<const double> now = view(y_);
    for (std::size_t k = 0; k < options_.extremes.size(); ++k) {
        const double value = now[static_cast<std::size_t>(options_.extremes[k])];
        course_.least[k] = std::min(course_.least[k], value);
        course_.largest[k] = std::max(course_.largest[k], value);
    }
    while (!options_.sampled.empty() && next_sample <= t * (1.0 + 1e-12)) {
        check(IDAGetDky(ida_, std::min(next_sample, t), 0, scratch), "IDAGetDky");
        course_.t_s.push_back(next_sample);
        for (std::size_t k = 0; k < options_.sampled.size(); ++k) {
            course_.samples[k].push_back(
                view(scratch)[static_cast<std::size_t>(options_.sampled[k])]);
        }
        next_sample = options_.cell_s * static_cast<double>(course_.t_s.size());
    }
}

void Run::handle_roots(double t) {
    std::vector<int> found(static_cast<std::size_t>(equations_.guards()), 0);
    check(IDAGetRootInfo(ida_, found.data()), "IDAGetRootInfo");
    for (int k = 0; k < equations_.guards(); ++k) {
        if (found[static_cast<std::size_t>(k)] != 0) {
            equations_.crossed(k, found[static_cast<std::size_t>(k)] > 0, t);
        }
    }
}

Course Run::go() {
    const double begin = cpu_seconds();
    course_.samples.resize(options_.sampled.size());
    course_.least.assign(options_.extremes.size(), never);
    course_.largest.assign(options_.extremes.size(), -never);
    N_Vector scratch = N_VNew_Serial(size_, context_);
    double t = 0.0;
    double next_sample = 0.0;
    long steps_before = 0;
    try {
        restart(0.0);
        while (t < options_.end_s) {
            const double stop = std::min(equations_.next_alarm(), options_.end_s);
            if (stop <= t * (1.0 + 1e-14)) {
                if (equations_.next_alarm() > stop) {
                    break;
                }
                equations_.alarm(stop);
                ++course_.events;
                restart(t);
                continue;
            }
            check(IDASetStopTime(ida_, stop), "IDASetStopTime");
            const int flag = IDASolve(ida_, options_.end_s, &t, y_, yp_, IDA_ONE_STEP);
            check(flag, "IDASolve");
            keep(t, next_sample, scratch);
            if (flag == IDA_ROOT_RETURN || flag == IDA_TSTOP_RETURN) {
                long steps = 0;
                IDAGetNumSteps(ida_, &steps);
                steps_before += steps;
                if (flag == IDA_ROOT_RETURN) {
                    handle_roots(t);
                } else if (equations_.next_alarm() <= t * (1.0 + 1e-14)) {
                    equations_.alarm(equations_.next_alarm());
                }
                ++course_.events;
                restart(t);
            }
        }
    } catch (const std::runtime_error& error) {
        course_.trouble = std::string(error.what()) + " at " + std::to_string(t) + " s";
    }
    N_VDestroy(scratch);
    course_.steps = steps_before;
    course_.last.assign(view(y_).begin(), view(y_).end());
    course_.cpu_s = cpu_seconds() - begin;
    return std::move(course_);
}

}  // namespace

Course solve(Equations& equations, const SolveOptions& options) {
    return Run(equations, options).go();
}

double jacobian_error(const Equations& equations,
                      double t,
                      std::span<const double> y,
                      std::span<const double> yp,
                      double cj) {
    const int size = equations.size();
    const std::size_t n = static_cast<std::size_t>(size);
    Dense written(size);
    equations.jacobian(t, y, cj, written);
    std::vector<double> base(n), moved_y(y.begin(), y.end()), moved_yp(yp.begin(), yp.end());
    std::vector<double> up(n), down(n);
    double worst = 0.0;
    std::vector<double> largest(n, 1e-300);
    for (std::size_t row = 0; row < n; ++row) {
        for (std::size_t column = 0; column < n; ++column) {
            largest[row] = std::max(largest[row], std::abs(written.at[row * n + column]));
        }
    }
    for (std::size_t column = 0; column < n; ++column) {
        const double step = 1e-5 * (1.0 + std::abs(y[column]));
        moved_y[column] = y[column] + step;
        moved_yp[column] = yp[column] + cj * step;
        equations.residual(t, moved_y, moved_yp, up);
        moved_y[column] = y[column] - step;
        moved_yp[column] = yp[column] - cj * step;
        equations.residual(t, moved_y, moved_yp, down);
        moved_y[column] = y[column];
        moved_yp[column] = yp[column];
        for (std::size_t row = 0; row < n; ++row) {
            const double seen = (up[row] - down[row]) / (2.0 * step);
            worst = std::max(worst, std::abs(seen - written.at[row * n + column]) / largest[row]);
        }
    }
    return worst;
}

}  // namespace etchback::ida
