// A linear constant-current sink, of one section or of several that hand over to each other.
#pragma once

#include <memory>
#include <vector>

#include "behaviour/detail/controller.h"

namespace etchback::behaviour::detail {

// The current through each section is what brings the sense voltage to its reference, but no more
// than the voltage across it drives through its least resistance. The machine only raises the
// references when the drain has the voltage to start.
base::Result<std::unique_ptr<Machine>> make_linear_driver(Bench& bench);

struct LinearSettings {
    ProbeId supply;
    double start_v = 0.0, stop_v = 0.0;
    KnobId reference;
    double reference_v = 0.0;
    double share = 1.0;  // left by the temperature
    bool too_hot = false;
};

class Linear final : public Machine {
public:
    Linear(std::string part, LinearSettings settings) : part_(std::move(part)), set_(settings) {}
    std::string name() const override { return part_; }
    void start(Hands& hands) override;
    void crossed(Hands& hands, int watch) override;
    void alarm(Hands&, int) override {}
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Linear>(*this); }

private:
    enum Watches { at_start, at_stop };
    double off_v() const;
    std::string part_;
    LinearSettings set_;
};

}  // namespace etchback::behaviour::detail
