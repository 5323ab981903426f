// Springs on a line: the least-squares position of points tied to each other and to the ground.
#pragma once

#include <vector>

namespace etchback::drawing::detail {

class Springs {
public:
    explicit Springs(int points);
    // Wants x[b] - x[a] == rest.
    void tie(int a, int b, double weight, double rest = 0.0);
    // Wants x[a] == at.
    void pin(int a, double weight, double at);
    // The point of least energy; every point must hang on a pin, if ever so weakly.
    std::vector<double> solve() const;

private:
    double& entry(int row, int column);

    int points_;
    std::vector<double> matrix_;
    std::vector<double> right_;
};

}  // namespace etchback::drawing::detail
