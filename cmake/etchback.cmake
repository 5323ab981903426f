# How every target of Etchback is compiled.

if(NOT CMAKE_BUILD_TYPE)
    set(CMAKE_BUILD_TYPE Dev)
endif()
set(CMAKE_CXX_FLAGS_DEV "-O1 -g1" CACHE STRING "flags of the Dev build" FORCE)
set(CMAKE_CXX_FLAGS_RELEASE "-O2 -DNDEBUG" CACHE STRING "flags of the Release build" FORCE)

find_program(CCACHE ccache)
if(CCACHE)
    set(CMAKE_CXX_COMPILER_LAUNCHER ${CCACHE})
endif()

set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_POSITION_INDEPENDENT_CODE ON)

add_library(etchback_flags INTERFACE)
target_compile_options(etchback_flags INTERFACE
    -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion -Werror
    # One answer on every processor: no fused multiply-add behind our back.
    -ffp-contract=off)
if(ETCHBACK_SANITIZE)
    add_compile_options(-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
    # g++ 12 sees uninitialised values in <regex> and <functional> that are none, only when sanitizing.
    target_compile_options(etchback_flags INTERFACE -Wno-maybe-uninitialized)
    add_link_options(-fsanitize=address,undefined)
endif()

# etchback_module(NAME [USES public libraries] [PRIVATE libraries]): the static library of src/NAME.
function(etchback_module name)
    cmake_parse_arguments(arg "" "" "USES;PRIVATE" ${ARGN})
    file(GLOB sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/${name}/*.cpp
         ${CMAKE_SOURCE_DIR}/src/${name}/detail/*.cpp)
    if(NOT sources)
        add_library(etchback_${name} INTERFACE)
        add_library(etchback::${name} ALIAS etchback_${name})
        target_include_directories(etchback_${name} INTERFACE ${CMAKE_SOURCE_DIR}/src)
        target_link_libraries(etchback_${name} INTERFACE ${arg_USES})
        return()
    endif()
    add_library(etchback_${name} STATIC ${sources})
    add_library(etchback::${name} ALIAS etchback_${name})
    target_include_directories(etchback_${name} PUBLIC ${CMAKE_SOURCE_DIR}/src)
    target_link_libraries(etchback_${name} PUBLIC ${arg_USES} PRIVATE etchback_flags ${arg_PRIVATE})
endfunction()

# etchback_test(NAME [USES libraries] [LABELS labels]): the tests in tests/NAME, one program.
function(etchback_test name)
    cmake_parse_arguments(arg "" "" "USES;LABELS" ${ARGN})
    file(GLOB sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/${name}/*.cpp)
    if(NOT sources)
        return()
    endif()
    add_executable(test_${name} ${sources})
    target_include_directories(test_${name} PRIVATE ${CMAKE_SOURCE_DIR}/tests)
    target_compile_definitions(test_${name} PRIVATE
        ETCHBACK_SOURCE_DIR="${CMAKE_SOURCE_DIR}" ETCHBACK_BINARY_DIR="${CMAKE_BINARY_DIR}")
    target_link_libraries(test_${name} PRIVATE ${arg_USES} etchback_flags GTest::gtest GTest::gmock
                          GTest::gtest_main)
    add_test(NAME ${name} COMMAND test_${name})
    if(arg_LABELS)
        set_tests_properties(${name} PROPERTIES LABELS "${arg_LABELS}")
    endif()
endfunction()
