// Encodings that the page needs to hold everything in one file.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace etchback::report::detail {

// RFC 4648, with padding.
std::string base64(std::string_view bytes);

// FIPS 180-4. The page names the digest of its own script, so that no other script runs in it.
std::array<std::uint8_t, 32> sha256(std::string_view bytes);

// "sha256-..." as a content security policy wants it.
std::string script_hash(std::string_view script);

}  // namespace etchback::report::detail
