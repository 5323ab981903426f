// The plugin that looks at pictures, found and loaded when it is first needed.
#pragma once

#include "base/error.h"
#include "copper/eye/interface.h"

namespace etchback::copper::detail {

struct EyePlugin {
    eye::TraceFunction* trace = nullptr;
    eye::JpegFunction* jpeg = nullptr;
};

base::Result<EyePlugin> find_eye_plugin();

}  // namespace etchback::copper::detail
