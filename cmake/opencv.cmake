# OpenCV's libraries one by one: Debian's CMake and pkg-config files for it come only with a package
# that draws in Qt, VTK and Java.
find_path(OPENCV_INCLUDE opencv2/core.hpp PATH_SUFFIXES opencv4 REQUIRED)
add_library(etchback_opencv INTERFACE)
target_include_directories(etchback_opencv SYSTEM INTERFACE ${OPENCV_INCLUDE})
foreach(part core imgproc imgcodecs calib3d features2d)
    find_library(OPENCV_${part} opencv_${part} REQUIRED)
    target_link_libraries(etchback_opencv INTERFACE ${OPENCV_${part}})
endforeach()
# Its headers mix enumerations in a way that C++20 frowns upon.
target_compile_options(etchback_opencv INTERFACE -Wno-deprecated-enum-enum-conversion)
